"""What is asked: schema and loading of site files."""

from optimizer.site.loading import LoadedSite, load_site
from optimizer.site.schema import AudioPoint, ExistingCable, Site, Zone

__all__ = ["AudioPoint", "ExistingCable", "LoadedSite", "Site", "Zone", "load_site"]
