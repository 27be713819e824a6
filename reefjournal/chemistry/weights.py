"""Atomic weights, and the factors between the ways in which one amount is written.

Source (published): IUPAC Commission on Isotopic Abundances and Atomic Weights, abridged standard atomic weights, 2021,
g/mol. The factors are ratios of them, good to the five digits that the weights carry.
"""

H = 1.008
C = 12.011
N = 14.007
O = 15.999  # noqa: E741 the element's own symbol
NA = 22.990
MG = 24.305
P = 30.974
S = 32.06
CL = 35.45
CA = 40.078

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

# mg of the ion in 1 mg of its element.
NH3_PER_N = NH3 / N
NH4_PER_N = NH4 / N
NO2_PER_N = NO2 / N
NO3_PER_N = NO3 / N
PO4_PER_P = PO4 / P

# Alkalinity. A degree dKH is 10 mg CaO/L (German degree of carbonate hardness); CaO and CaCO3 bring two equivalents.
MEQ_PER_DKH = 10 / (CAO / 2)
CACO3_PER_MEQ = CACO3 / 2
CACO3_PER_DKH = MEQ_PER_DKH * CACO3_PER_MEQ

N_PER_NH4CL = N / NH4CL
