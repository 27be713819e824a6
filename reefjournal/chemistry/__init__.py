"""The sums of sea water on plain numbers: one published formula, one function.

Every formula takes a number or a numpy array and gives back the same; a value outside the range in which the formula
was made is refused with that range. numpy is imported only when an array comes in.
"""
