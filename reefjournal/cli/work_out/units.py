"""The units that the options state."""

from reefjournal.cli.work_out.quantity import Unit

NET_LITRES = Unit("L", least=0.001)
LITRES, GRAMS, KILOGRAMS = Unit("L"), Unit("g"), Unit("kg")
CENTIMETRES, MILLIMETRES = Unit("cm"), Unit("mm")
EITHER_SIDE = Unit("cm", least=-1000.0)
CELSIUS, HOURS, PERCENT = Unit("C", "°C", least=-100.0), Unit("h", "hours"), Unit("%")
PPT, PH, DKH, MG = Unit("ppt"), Unit("pH"), Unit("dKH"), Unit("mg/L")
MG_N = Unit("mg/L", "mg N/L", basis="ammonia")
MG_NO2 = Unit("mg/L", "mg NO2/L", basis="nitrite", plain="NO2")
MG_NO3 = Unit("mg/L", "mg NO3/L", basis="nitrate", plain="NO3")
GRAVITY, CONDUCTIVITY = Unit("SG"), Unit("mS/cm")
# Units of which nobody uses another here.
WATTS, VOLTS, AMPERES = Unit("W"), Unit("V"), Unit("A")
NEWTONS, DEGREES, TIMES = Unit("N"), Unit("degrees", least=-90.0), Unit("times")
MG_NH3 = Unit("mg/L", "mg NH3/L")
MG_PO4 = Unit("mg/L", "mg PO4/L", basis="phosphate", plain="PO4")
MILLIGRAMS, FACTOR = Unit("mg"), Unit("g/L")
