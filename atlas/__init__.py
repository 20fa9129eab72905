"""Surveyed river access points in, a county's binder of swiftwater rescue site sheets out.

Rooms, each importing only from those below it (import-linter holds that):

    cli                             one file a command; the only place that prints or exits
    editions                        what was printed and where it is kept
    binder briefs                   many pages; mutual-aid briefings
    sheets                          SitePlan -> laid-out page -> PDF bytes
    workings                        SitePlan -> JSON, text, and the derivation on paper
    plan                            everything computed for one site: one frozen SitePlan
    survey caches gauges            files and services -> checked records; gauges is the only HTTP
    frame water rigging cover       the engineering core: arrays and frozen dataclasses in SI
    paper                           fonts, boxes, measuring, drawing, page check; knows no river
    settings                        policy, rigs, page templates, wording: loaded and validated
    records units faults            plain dataclasses; text to SI and SI to print; the one error tree
"""

from importlib.metadata import PackageNotFoundError, version

try:
    __version__ = version("reach-atlas")
except PackageNotFoundError:  # run from a checkout that was never installed
    __version__ = "0+checkout"
