"""The herd list: a question about the herd, and the animals that answer it, page by page."""

from herd.registry.queries.herdlist.filters import matching
from herd.registry.queries.herdlist.pages import A_PAGE, Page, count_of, ids_of, page_of
from herd.registry.queries.herdlist.question import CLASS_WORDS, NO_CHECK, NO_TAG, Question
from herd.registry.queries.herdlist.sorts import SORTS

__all__ = [
    "A_PAGE",
    "CLASS_WORDS",
    "NO_CHECK",
    "NO_TAG",
    "SORTS",
    "Page",
    "Question",
    "count_of",
    "ids_of",
    "matching",
    "page_of",
]
