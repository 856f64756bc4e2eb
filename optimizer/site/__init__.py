"""What is asked: schema, loading and checks of site files."""

from optimizer.site.loading import LoadedSite, load_site
from optimizer.site.references import check_currency, check_references, check_untouchable
from optimizer.site.schema import AudioPoint, ExistingCable, Site, Zone
from optimizer.site.wishes import check_wishes

__all__ = [
    "AudioPoint",
    "ExistingCable",
    "LoadedSite",
    "Site",
    "Zone",
    "check_currency",
    "check_references",
    "check_untouchable",
    "check_wishes",
    "load_site",
]
