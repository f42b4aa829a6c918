"""Constants with units, each said here alone; what belongs to one model (a tube, a bar) is beside that model."""

CENTIMETRES_AN_INCH = 2.54
"""Exactly so (international yard and pound agreement, 1959)."""

POUNDS_A_KILOGRAM = 1 / 0.45359237
"""Exactly so (the same agreement)."""

A4 = 440.0
"""Hertz of the A above middle C, where a band does not say its own (ISO 16)."""
