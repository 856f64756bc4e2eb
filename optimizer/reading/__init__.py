"""Reading input files: YAML with line numbers, validation with messages a user can act on.

Field types of the schemas are in :mod:`optimizer.reading.fields`.
"""

from optimizer.reading.source import Source, read_source
from optimizer.reading.validation import validate

__all__ = ["Source", "read_source", "validate"]
