"""Closed vocabularies that site, price book and design share."""

from typing import Literal

Family = Literal["composite", "hd_coax", "network"]
Fit = Literal["rg59", "rg6", "rg11", "cat5e", "cat6", "audio"]
Medium = Literal["coax_power", "coax", "power_pair", "category", "audio_pair", "control_pair"]
Route = Literal["indoor", "riser", "plenum", "outdoor", "buried"]
Place = Literal["indoors", "outdoors"]
ConnectorType = Literal["bnc", "rj45", "rca"]
Method = Literal["compression", "crimp", "twist_on", "solder", "plug"]
Codec = Literal["H.264", "H.265", "MJPEG"]
ExportWay = Literal["optical", "usb", "network"]
Display = Literal["hdmi", "vga", "composite"]
