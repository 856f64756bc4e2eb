"""Where a value that decides an answer comes from, in the words of its list of assumptions."""

SITE = "site file"
BOOK = "price book"
PRACTICE = "common practice"
MEMORY = "memory"
OWN = "default of this program"
PUBLISHED = "published, seen through a secondary page"

__all__ = ["BOOK", "MEMORY", "OWN", "PRACTICE", "PUBLISHED", "SITE"]
