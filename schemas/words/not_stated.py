"""Words for what nobody states, such as how a sample was treated."""

NOT_STATED = """
    not stated =
        en: unstated, unknown, not told
        de: unbekannt, nicht angegeben
        fr: inconnu, non précisé
        es: desconocido, no indicado
        it: sconosciuto, non indicato
        pl: nieznany, nie podano
        nl: onbekend, niet vermeld
        cs: neznámý, neuvedeno
"""
