"""Page swaps: what changed between two editions, why, and the pages to print."""

from atlas.editions.swap.checklist import checklist_pdf
from atlas.editions.swap.compare import Change, Overdue, Step, Swap, compare
from atlas.editions.swap.print_file import print_pdf

__all__ = ["Change", "Overdue", "Step", "Swap", "checklist_pdf", "compare", "print_pdf"]
