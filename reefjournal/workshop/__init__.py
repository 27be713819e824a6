"""The sums of the carpenter and the installer: panels, lids, loads, volumes and heating, on plain numbers."""
