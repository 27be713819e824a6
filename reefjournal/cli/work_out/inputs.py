"""The inputs that many topics share."""

from reefjournal.cli.work_out.quantity import Number
from reefjournal.cli.work_out.topic import Input
from reefjournal.cli.work_out.units import CELSIUS, NET_LITRES, PH, PPT

VOLUME = Input("volume", "Net volume of the water.", Number(NET_LITRES), noted="volume")
PH_NBS = Input("ph", "On the NBS scale, as kits and meters read.", Number(PH), noted="pH")
TEMPERATURE = Input("temperature", "Of the water.", Number(CELSIUS), noted="temperature")
SALINITY = Input("salinity", "Of the water.", Number(PPT), noted="salinity")
