"""Integer tables of what is possible, with the reason why each other thing is not."""

from optimizer.instance.building import build_instance
from optimizer.instance.memory import Memory
from optimizer.instance.tables import Instance, ZoneTable

__all__ = ["Instance", "Memory", "ZoneTable", "build_instance"]
