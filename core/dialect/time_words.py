"""What spans of time are called: hours, days, weeks as units; months and years, which are none.

How many hours a month has nobody can tell who only counts months. Trade words, from memory.
"""

from __future__ import annotations

_WORDS = {
    "second": "sek seg sekunden secondes segundos secondi sekundy sekund seconden",
    "minute": "min mn minutes minuten minutos minuti minuty minut",
    "hour": """
        hour hours hr hrs std stunden stunde heures heure horas hora ore ora godz godziny godzin
        godzinach uur uren hod hodin hodiny hodinách hodinach
    """,
    "day": """
        day days tage tag tagen j jours jrs jour dias días dia día giorni giorno gg dni dzień dzien
        dniach dniu doby dob dób dobę dobie dobach dagen dag dní dny den dnech dnů dnu
    """,
    "week": """
        week weeks wk wks woche wochen semaine semaines sett týd tyd semana semanas
        settimana settimane tydzień
        tydzien tygodni tygodnie tygodniach tygodniu tyg weken týden tyden týdny tydny týdnů tydnu
        týdnech tydnech týdnu
    """,
}
UNITS: dict[str, str] = {word: unit for unit, words in _WORDS.items() for word in words.split()}
HOURS = {"hour": 1.0, "day": 24.0, "week": 168.0}  # of what spans in sentences are told in
_MONTHS = """
    month months mth mths monat monate monaten mois mes meses mese mesi miesiąc miesiące miesięcy
    miesiącach miesiącu mies maand maanden měsíc měsíce měsíců měsících měsíci
    year years yr yrs jahr jahre jahren an ans année années año años anno anni rok roku lata lat
    jaar jaren roky let letech
"""
NO_UNITS = frozenset(_MONTHS.split())
_COUNTS = (
    "one ein eine einem einer einen un une una uno jeden jednym jedna jednom een",
    "two zwei deux dos due dwa dwie dwoch twee dva dve dvou",
    "three drei trois tres tre trzy trzech drie tri trech",
    "four vier quatre cuatro quattro cztery czterech ctyri ctyrech",
    "five funf cinq cinco cinque piec pieciu vijf pet peti",
    "six sechs seis sei szesc szesciu zes sest sesti",
    "seven sieben sept siete sette siedem siedmiu zeven sedm sedmi",
    "eight acht huit ocho otto osiem osmiu osm osmi",
    "nine neun neuf nueve nove dziewiec dziewieciu negen devet deviti",
    "ten zehn dix diez dieci dziesiec dziesieciu tien deset deseti",
    "eleven elf onze once undici jedenascie jedenastu jedenact",
    "twelve zwolf douze doce dodici dwanascie dwunastu twaalf dvanact",
)
NUMBERS = {word: count for count, words in enumerate(_COUNTS, start=1) for word in words.split()}
