"""Atomic weights, and the factors between the ways in which one amount is written.

Source (published): IUPAC Commission on Isotopic Abundances and Atomic Weights, abridged standard atomic weights, 2021,
g/mol. The factors are ratios of them, good to the five digits that the weights carry.
"""

from __future__ import annotations

from typing import Annotated

from reefjournal.believed import Believed

_IUPAC = "IUPAC Commission on Isotopic Abundances and Atomic Weights, abridged standard atomic weights, 2021"
_WEIGHT = Believed("g/mol", "atomic weight", f"published: {_IUPAC}")
_RATIO = f"computed: ratio of the weights of {_IUPAC}"

H: Annotated[float, _WEIGHT] = 1.008
C: Annotated[float, _WEIGHT] = 12.011
N: Annotated[float, _WEIGHT] = 14.007
O: Annotated[float, _WEIGHT] = 15.999  # noqa: E741 the element's own symbol
NA: Annotated[float, _WEIGHT] = 22.990
MG: Annotated[float, _WEIGHT] = 24.305
P: Annotated[float, _WEIGHT] = 30.974
S: Annotated[float, _WEIGHT] = 32.06
CL: Annotated[float, _WEIGHT] = 35.45
CA: Annotated[float, _WEIGHT] = 40.078

NH3 = N + 3 * H
NH4 = N + 4 * H
NH4CL = NH4 + CL
NO2 = N + 2 * O
NO3 = N + 3 * O
PO4 = P + 4 * O
O2 = 2 * O
CAO = CA + O
CACO3 = CA + C + 3 * O
NAHCO3 = NA + H + C + 3 * O
NA2CO3 = 2 * NA + C + 3 * O
WATER = 2 * H + O
CACL2 = CA + 2 * CL
MGCL2 = MG + 2 * CL
MGSO4 = MG + S + 4 * O

NH3_PER_N: Annotated[float, Believed("mg NH3/mg N", "ammonia as the molecule over as nitrogen", _RATIO)] = NH3 / N
NH4_PER_N: Annotated[float, Believed("mg NH4/mg N", "ammonium as the ion over as nitrogen", _RATIO)] = NH4 / N
NO2_PER_N: Annotated[float, Believed("mg NO2/mg N", "nitrite as the ion over as nitrogen", _RATIO)] = NO2 / N
NO3_PER_N: Annotated[float, Believed("mg NO3/mg N", "nitrate as the ion over as nitrogen", _RATIO)] = NO3 / N
PO4_PER_P: Annotated[float, Believed("mg PO4/mg P", "phosphate as the ion over as phosphorus", _RATIO)] = PO4 / P

# A degree dKH is 10 mg CaO/L (German degree of carbonate hardness); CaO and CaCO3 bring two equivalents.
_DEGREE = f"{_RATIO}; a degree is 10 mg CaO/L"
MEQ_PER_DKH: Annotated[float, Believed("meq/dKH", "alkalinity in a degree", _DEGREE)] = 10 / (CAO / 2)
CACO3_PER_MEQ: Annotated[float, Believed("mg CaCO3/meq", "calcium carbonate of one equivalent", _RATIO)] = CACO3 / 2
CACO3_PER_DKH: Annotated[float, Believed("mg CaCO3/dKH", "calcium carbonate of a degree", _DEGREE)] = (
    MEQ_PER_DKH * CACO3_PER_MEQ
)

N_PER_NH4CL: Annotated[float, Believed("g N/g", "nitrogen in ammonium chloride", _RATIO)] = N / NH4CL
PROTEIN_PER_N: Annotated[
    float, Believed("g protein/g N", "protein over its nitrogen, as food tables count it", "common practice")
] = 6.25
