"""What can be bought: schema, loading, importing and checking of price books."""

from optimizer.pricebook.checking import check_book
from optimizer.pricebook.importing import export_table, import_table, item_text, write_book_yaml
from optimizer.pricebook.loading import BUILTIN, LoadedBook, load_book

__all__ = [
    "BUILTIN",
    "LoadedBook",
    "check_book",
    "export_table",
    "import_table",
    "item_text",
    "load_book",
    "write_book_yaml",
]
