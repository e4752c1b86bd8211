"""What stands beside the word for a quantity: what a controller measured of it, or was set to.

Trade words, from memory. Those that are a real part too, such as real and rzeczywista, are none.
"""

from __future__ import annotations

MEASURED = """
    PV
    en: act, actual, meas, measured
    de: Ist, Istwert, gemessen
    fr: mesuré, mesurée
    es: medido, medida
    it: effettivo, effettiva, misurato, misurata
    pl: zmierzona, zmierzone
    nl: werkelijk, werkelijke, gemeten
    cs: skutečná, skutečné, naměřená
"""

SET = """
    SP
    en: set, setpoint, set point, set value
    de: Soll, Sollwert, eingestellt
    fr: consigne, réglé
    es: consigna, punto de consigna
    it: impostato, impostata
    pl: zadana, zadane
    nl: setpunt, ingesteld, instelling
    cs: nastavená, žádaná
"""
