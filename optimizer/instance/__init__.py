"""Integer tables of what is possible, with the reason why each other thing is not."""

from optimizer.instance.tables import Instance, ZoneTable, build_instance

__all__ = ["Instance", "ZoneTable", "build_instance"]
