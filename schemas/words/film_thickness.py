"""What the columns of film thickness readings are called."""

SPOT = """
    pto, pkt, rdg, mpkt
    n, pt, pos, MP
    en: reading, test location, measuring position, measurement spot, replicate, spot, spot no,
        spot number, point, point no, measuring point, measurement point, position, reading no,
        reading number, measurement no, measurement, no, number, location, place, test point, index,
        measuring spot, reading index, rdg no, spot id, location no, place no, measuring point no
    de: Punktnummer, Messpunktnummer, Ablesung Nr, Messposition, Messung lfd Nr, Punkt, Punkt Nr,
        Messpunkt, Meßpunkt, Messpunkt Nr, Messstelle, Meßstelle, Stelle, Nr, Nummer, Messung Nr,
        Messung, Position, lfd Nr, Messort, Einzelwert Nr, Prüfpunkt, Stelle Nr, Messst,
        Messstelle Nr, Messpkt, Pkt Nr, Messwert Nr
    fr: lecture, lecture no, no de point, no de mesure, endroit, point, point no, point de mesure,
        position, numéro, no, emplacement, mesure no, mesure, relevé, relevé no, mesure n°,
        n° mesure, lecture n°, n° lecture, emplacement no, pt de mesure
    es: lectura, lectura núm, medición no, posición de medida, punto, punto no, punto de medida,
        punto de medición, posición, número, núm, lugar, medida no, medición, lectura no, pto no,
        toma, toma no, n.º de punto, n.º de lectura, n.º de medida, medida
    it: misurazione, misurazione n, rilievo, rilevamento, lettura, punto, punto n, punto di misura,
        posizione, numero, misura n, misura, lettura n, n. punto, n. misura, n. lettura, pto,
        rilievo n, posizione n
    pl: nr punktu, numer punktu, odczyt, odczyt nr, nr pomiaru, numer pomiaru, miejsce pomiaru,
        punkt, punkt nr, punkt pomiarowy, pozycja, numer, nr, miejsce, pomiar nr, pomiar, nr pkt,
        pkt nr, pkt pomiarowy, nr odczytu, nr miejsca, pozycja nr
    nl: meetplek, meetplek nr, aflezing, aflezing nr, meetpunt nr, puntnummer, plek, punt, punt nr, meetpunt, meetplaats,
        positie, plaats, nummer, nr, meting nr, meting, plek nr, meetplaats nr, positie nr,
        nr meting, nr meetpunt
    cs: číslo bodu, číslo měření, místo č, odečet č, bod měření, měřené místo, bod, bod č,
        měřicí bod, místo, měřicí místo, pozice, číslo, č, měření č, měření, č. bodu, č. měření,
        č. místa, č. odečtu, bod číslo
    hu: mérés, mérés száma, mérési pont, pont, leolvasás, hely
    pt: leitura, leitura n.º, medição, ponto de medição, posição, ponto
"""

COAT = """
    en: coat, coat no, layer, layer no, which coat, coat name, film of, coating layer, coat number,
        layer number, application, coat / layer, layer or system, coating, film layer, coats,
        after coat
    de: Schicht, Schicht Nr, Lage, Anstrich, Beschichtung, Anstrich Nr, Schichtnummer, Lage Nr,
        Beschichtungslage, Schichtbezeichnung, Beschichtung Nr, Anstrichlage, Schichten,
        nach Schicht, Lackschicht
    fr: couche, couche no, numéro de couche, revêtement, nom de couche, couches, après couche,
        n° couche
    es: capa, capa no, número de capa, mano, recubrimiento, capas, n.º de capa, n.º de mano,
        nº mano, tras capa
    it: strato, strato n, mano, mano n, numero strato, rivestimento, n. strato, n. mano, strati,
        mani
    pl: warstwa, warstwa nr, numer warstwy, powłoka, nr warstwy, nr powłoki, po warstwie, warstwy
    nl: laag, laag nr, laagnummer, verflaag, coating, lagen, nr laag, na laag
    cs: vrstva, vrstva č, číslo vrstvy, nátěr, povlak, č. vrstvy, č. nátěru, vrstvy, po vrstvě
"""

_COATS = (  # what the trade says for the number of a coat, besides "coat 1"
    (1, "first", "erste", "première", "primera", "prima", "pierwsza", "eerste", "první"),
    (2, "second", "zweite", "deuxième", "segunda", "seconda", "druga", "tweede", "druhá"),
    (3, "third", "dritte", "troisième", "tercera", "terza", "trzecia", "derde", "třetí"),
    (4, "fourth", "vierte", "quatrième", "cuarta", "quarta", "czwarta", "vierde", "čtvrtá"),
    (5, "fifth", "fünfte", "cinquième", "quinta", "quinta", "piąta", "vijfde", "pátá"),
)
_INFLECTED = {  # of the first to the fifth coat, as sentences and other genders have them
    "de": (
        "ersten Schicht, ersten Lage, erster Anstrich, ersten Anstrichs, ersten Anstrich",
        "zweiten Schicht, zweiten Lage, zweiter Anstrich, zweiten Anstrichs, zweiten Anstrich",
        "dritten Schicht, dritten Lage, dritter Anstrich, dritten Anstrichs, dritten Anstrich",
        "vierten Schicht, vierten Lage, vierter Anstrich",
        "fünften Schicht, fünften Lage, fünfter Anstrich",
    ),
    "fr": ("premier feuil", "second feuil, seconde couche", "troisième feuil", "", ""),
    "it": ("primo strato", "secondo strato", "terzo strato", "quarto strato", "quinto strato"),
    "pl": (
        "pierwszej warstwy, pierwszą warstwę, pierwszej powłoki, pierwsza powłoka",
        "drugiej warstwy, drugą warstwę, drugiej powłoki, druga powłoka",
        "trzeciej warstwy, trzecią warstwę, trzeciej powłoki, trzecia powłoka",
        "czwartej warstwy",
        "piątej warstwy",
    ),
    "cs": (
        "první vrstvy, první nátěr, prvního nátěru",
        "druhé vrstvy, druhý nátěr, druhého nátěru",
        "třetí vrstvy, třetí nátěr, třetího nátěru",
        "čtvrté vrstvy, čtvrtý nátěr",
        "páté vrstvy, pátý nátěr",
    ),
}

# In a column of coats they say a coat without the word for it; in a sentence they need not.
ORDINALS = {word: f"coat {number}" for number, *words in _COATS for word in words}
ALL = ("all", "alle", "toutes", "todas", "tutti", "wszystkie", "všechny")

_COAT = """
    coat {0} = {0}
        en: {0}st coat, {0}nd coat, {0}rd coat, {0}th coat, {0}st layer, {0}nd layer, {0}rd layer,
            {0}th layer, {1} coat, {1} layer, layer {0}, coat no {0}, layer no {0}, c{0}
        de: Schicht {0}, {0}. Schicht, {2} Schicht, Lage {0}, {0}. Lage, Anstrich {0},
            {0}. Anstrich,
            Schicht Nr {0}, {2} Lage
        fr: {0}re couche, {0}ère couche, {0}ème couche, couche {0}, {3} couche, {0}e couche, couche no {0}
        es: {0}ª capa, {0}ª mano, {0}a mano, capa {0}, {4} capa, mano {0}, {4} mano, {0}a capa
        it: {0}º strato, {0}ª mano, {0}o strato, strato {0}, {5} mano, mano {0}, {0}a mano
        pl: warstwa {0}, {6} warstwa, {0}. warstwa, powłoka {0}
        nl: {0}de laag, {0}ste laag, laag {0}, {7} laag, {0}e laag
        cs: vrstva {0}, {8} vrstva, {0}. vrstva, nátěr {0}, {0}. nátěr
"""

# What lies there after the first coat is that coat; after the second it is both.
_AFTER_THE_FIRST = """
        en: after coat 1, after layer 1, after the first coat, after first coat, after 1st coat
        de: nach Schicht 1, nach 1. Schicht, nach der 1. Schicht, nach der ersten Schicht
        fr: après couche 1, après la couche 1, après la première couche, après la 1re couche
        es: tras la capa 1, después de la capa 1, tras la primera capa, después de la primera capa
        it: dopo mano 1, dopo la prima mano, dopo la mano 1, dopo il primo strato
        pl: po warstwie 1, po pierwszej warstwie, po 1. warstwie
        nl: na laag 1, na de eerste laag, na eerste laag, na 1e laag
        cs: po vrstvě 1, po první vrstvě, po 1. vrstvě
"""

COAT_VALUES = ";".join(
    (
        """
    system =
        en: all coats, total, whole system, total system, complete system, full system,
            overall,
            total DFT, coat system, sum
        de: gesamt, alle Schichten, Gesamtschicht, Gesamtsystem, System, Gesamtaufbau, Aufbau,
            Summe, Gesamtbeschichtung, Beschichtungssystem
        fr: total, système, toutes couches, toutes les couches, système complet, ensemble
        es: total, sistema, todas las capas, sistema completo
        it: totale, sistema, tutti gli strati, ciclo, ciclo completo, sistema completo
        pl: całość, razem, system, wszystkie warstwy, cały system, suma, zestaw
        nl: totaal, systeem, alle lagen, heel systeem, compleet systeem
        cs: celkem, systém, všechny vrstvy, celý systém, celková
""",
        *(
            _COAT.format(*names)
            + "".join(
                f"        {one}: {forms[n]}\n" for one, forms in _INFLECTED.items() if forms[n]
            )
            + ("" if n else _AFTER_THE_FIRST.lstrip("\n"))
            for n, names in enumerate(_COATS)
        ),
    )
)

_BY_STATE = {  # how the trade calls the thickness of a film, dry and wet: each of one with each
    "en": (
        ("{} film thickness", "{} film", "{} thickness", "{} coat thickness", "{} paint film"),
        ("dry", "cured"),
        ("wet",),
    ),
    "de": (("{}schichtdicke", "{}filmdicke", "{}film", "{}schicht"), ("Trocken",), ("Nass", "Naß")),
    "fr": (
        (
            "épaisseur du film {}",
            "épaisseur de film {}",
            "épaisseur du feuil {}",
            "épaisseur de feuil {}",
            "film {}",
            "feuil {}",
            "épaisseur du revêtement {}",
        ),
        ("sec",),
        ("humide",),
    ),
    "es": (
        (
            "espesor de película {0}a",
            "espesor de la película {0}a",
            "espesor {0}o",
            "película {0}a",
            "espesor de capa {0}a",
            "espesor en {0}o",
            "esp {0}o",
        ),
        ("sec",),
        ("húmed",),
    ),
    "it": (
        (
            "spessore film {0}o",
            "spessore del film {0}o",
            "spessore {0}o",
            "film {0}o",
            "spessore a {0}o",
            "spessore dello strato {0}o",
            "sp {0}o",
            "spess {0}o",
        ),
        ("secc", "asciutt"),
        ("umid", "bagnat"),
    ),
    "pl": (
        (
            "grubość {0}ej powłoki",
            "grubość {0}ego filmu",
            "grubość powłoki {0}ej",
            "grubość {0}ej warstwy",
            "grubość na {0}o",
            "{0}a powłoka",
            "{0}y film",
            "grubość powłoki na {0}o",
            "gr {0}a",
            "grub {0}a",
            "gr na {0}o",
        ),
        ("such",),
        ("mokr",),
    ),
    "nl": (
        (
            "{0}e laagdikte",
            "{0}e filmdikte",
            "{0}e dikte",
            "{0}e laag",
            "{0}e film",
            "dikte {0}e film",
            "dikte {0}e laag",
        ),
        ("drog",),
        ("natt",),
    ),
    "cs": (
        (
            "tloušťka {0}ého filmu",
            "tloušťka {0}é vrstvy",
            "tloušťka {0}ého nátěru",
            "tloušťka {0}ého povlaku",
            "{0}ý film",
            "{0}á vrstva",
            "tloušťka za {0}a",
            "tl {0}á",
            "tl {0}ého filmu",
        ),
        ("such", "zaschl"),
        ("mokr", "vlhk"),
    ),
    "hu": (
        ("{} rétegvastagság", "{} filmvastagság", "{} film", "{} réteg"),
        ("száraz",),
        ("nedves",),
    ),
    "pt": (
        (
            "espessura do filme {0}o",
            "espessura de filme {0}o",
            "espessura {0}a",
            "espessura da película {0}a",
            "espessura de película {0}a",
            "filme {0}o",
            "película {0}a",
            "esp {0}a",
        ),
        ("sec",),
        ("húmid", "úmid"),
    ),
}
_SHORT = {
    "dry": "DFT, TSD, EPS, GSP, DLD, TSF, TSN, épaisseur sèche, ép sèche, épais sèche, laagd droog, Schichtd trocken",
    "wet": "WFT, NSD, NFT, EPH, GMP, NLD, TMF, épaisseur humide, ép humide, épais humide, laagd nat, Schichtd nass",
}


def thickness(state: str) -> str:
    """Return what the thickness of a dry or a wet film is called."""
    said = [
        shape.format(word)
        for shapes, dry, wet in _BY_STATE.values()
        for shape in shapes
        for word in (dry if state == "dry" else wet)
    ]
    return ", ".join([_SHORT[state], *said])


STATE = """
    en: state, film, film state, condition, wet or dry, wet dry, type, kind of film, kind,
        type of film, film type, measurement type, dry or wet, film condition, dry/wet
    de: Zustand, Film, Filmzustand, Art, nass oder trocken, nass trocken, Messart, Schichtzustand,
        trocken oder nass, trocken/nass, Filmart
    fr: état, film, état du film, humide ou sec, type, type de film, sec ou humide, humide/sec,
        sec/humide
    es: estado, película, estado de la película, húmedo o seco, tipo, seco o húmedo, húmedo/seco,
        seco/húmedo, estado del film
    it: stato, film, stato del film, umido o secco, tipo, secco o umido, umido/secco, secco/umido
    pl: stan, film, stan powłoki, stan filmu, mokra lub sucha, rodzaj, sucha lub mokra, sucha/mokra,
        mokra/sucha, rodzaj powłoki
    nl: toestand, film, nat of droog, soort, staat, droog of nat, nat/droog, droog/nat, filmtoestand
    cs: stav, film, stav filmu, mokrý nebo suchý, druh, suchý nebo mokrý, suchý/mokrý, mokrý/suchý
    pt: estado, filme, película, húmido ou seco, seco ou húmido, tipo
"""

STATE_VALUES = f"""
    dry =
        ISO 2808 dry, {thickness("dry")}
        en: dry film, dried, cured, dry film thickness, hardened
        de: trocken, Trockenfilm, Trockenschicht, ausgehärtet, getrocknet, Trockenschichtdicke
        fr: sec, sèche, film sec, épaisseur sèche, feuil sec, séché
        es: seco, seca, película seca, espesor seco, curado
        it: secco, secca, film secco, spessore secco, asciutto, essiccato
        pl: suchej, suchego, wysuszona, utwardzona, w stanie suchym,
        sucha, suchy, suche, na sucho, sucha powłoka, suchy film
        nl: droog, droge film, droge laag, droge laagdikte, uitgehard
        pt: seco, seca, filme seco, película seca, espessura seca, curado
        cs: suché, suchého, suchém, v suchém stavu,
        suchý, suchá, suchý film, za sucha, zaschlý, vytvrzený;
    wet =
        {thickness("wet")}
        en: wet film, wet film thickness, fresh film, freshly applied, comb, wet film comb, comb gauge, wet comb,
            notched gauge
        de: nasse, nasser, nasses, nasser Film, im nassen Zustand, nass, naß, Nassfilm, Nassschicht,
            feucht, Nassschichtdicke, Kamm, Nassfilmkamm, Messkamm, Schichtdickenkamm
        fr: humide, film humide, épaisseur humide, feuil humide, mouillé, peigne, jauge peigne,
            peigne de mesure
        es: húmedo, húmeda, película húmeda, espesor húmedo, mojado, peine, galga de peine,
            peine húmedo
        it: umido, umida, film umido, spessore umido, bagnato, pettine, pettine per film umido
        pl: mokrej, mokrego, w stanie mokrym, mokra, mokry, mokre, na mokro, mokra powłoka,
            mokry film, grzebień, grzebieniem, grzebieniowy, miernik grzebieniowy
        nl: nat, natte film, natte laag, natte laagdikte, natte filmkam, natte kam
        pt: húmido, húmida, úmido, úmida, filme húmido, película húmida, espessura húmida, molhado,
            pente, pente de película húmida
        cs: mokré, mokrého, mokrém, v mokrém stavu, mokrý, mokrá, mokrý film, za mokra, hřeben,
            hřebenem, hřebenové měřidlo, hřebenová měrka
"""

THICKNESS_UM = f"""
    d, t, FT, {thickness("dry")}, {thickness("wet")}
    en: thickness, film thickness, dry film thickness, wet film thickness, coating thickness,
        layer thickness, paint thickness, reading, value, measured value, measurement value,
        reading value, thickness reading, dry film reading, wet film reading, result, gauge reading,
        DFT reading, coating thickness reading, film build, build, paint film thickness, thk, thickn
    de: Schichtdicke, Dicke, Trockenschichtdicke, Nassschichtdicke, Filmdicke, Messwert, Wert,
        Ablesung, Einzelwert, Trockenfilmdicke, Nassfilmdicke, Schichtstärke, Lackdicke,
        Beschichtungsdicke, Schichtd, Schichtdickenwert, Trockenschicht, TSD Messwert,
        Beschichtungsstärke
    fr: épaisseur, épaisseur sèche, épaisseur humide, épaisseur du film, épaisseur de film sec,
        épaisseur de couche, épaisseur du feuil, épaisseur du feuil sec, valeur, lecture,
        valeur mesurée, ép, épais, épaisseur mesurée, épaisseur de revêtement,
        épaisseur du revêtement, EFS
    es: espesor, espesor seco, espesor húmedo, espesor de película, espesor de película seca,
        espesor de capa, valor, lectura, valor medido, grosor, esp, espesor medido,
        espesor de recubrimiento, espesor del recubrimiento, espesor total, EPS, grosor de capa
    it: spessore, spessore secco, spessore umido, spessore film, spessore del film,
        spessore film secco, spessore strato, valore, lettura, valore misurato, sp, spess,
        spessore misurato, spessore rivestimento, spessore del rivestimento, spessore totale
    pl: grubość, grubość powłoki, grubość suchej powłoki, grubość mokrej powłoki, grubość filmu,
        grubość warstwy, wartość, odczyt, grubość na sucho, grubość na mokro, gr, grub,
        grubość zmierzona, grubość całkowita, GPS, grubość suchej warstwy, grubość farby
    nl: dikte, laagdikte, droge laagdikte, natte laagdikte, filmdikte, verflaagdikte, waarde,
        aflezing, meetwaarde, DLD, laagd, gemeten laagdikte, totale laagdikte, coatingdikte
    cs: tloušťka, tloušťka filmu, tloušťka suchého filmu, tloušťka mokrého filmu, tloušťka vrstvy,
        tloušťka povlaku, tloušťka nátěru, hodnota, odečet, naměřená hodnota, tl, tloušť, TSF, TSV,
        TSN, naměřená tloušťka, celková tloušťka, tloušťka suché vrstvy, tloušťka laku
    hu: rétegvastagság, vastagság, filmvastagság, bevonatvastagság, mért érték, érték
    pt: espessura, espessura da película, espessura do filme, espessura do revestimento,
        espessura seca, espessura medida
"""

SPOTS = """
    rdg #, loc #, pkt #, pto #
    #, s#, p#, pt #, no #, nr #, m#, x#, r#, pos #, mp #, d#, t#
    en: spot #, point #, reading #, position #, place #, measurement #, location #, value #, meas #,
        DFT #, thickness #, reading no #, spot no #, point no #, #st reading, #nd reading,
        #rd reading, #th reading, #st measurement, #nd measurement, #rd measurement,
        #th measurement, #st spot, #nd spot, #rd spot, #th spot
    de: Punkt #, Messpunkt #, Messstelle #, Stelle #, Messung #, Wert #, Einzelwert #, Messwert #,
        Schichtdicke #, Nr #, lfd Nr #, Ablesung #, # Messung, # Messwert, # Ablesung, # Punkt,
        # Messpunkt, # Stelle, # Messstelle, # Wert, # Einzelwert, Messg #
    fr: point #, mesure #, lecture #, valeur #, position #, épaisseur #, #re mesure, #ère mesure,
        #e mesure, #ème mesure, #re lecture, #ère lecture, #e lecture, #ème lecture, #er point,
        #e point, relevé #, mes #, lect #
    es: punto #, medida #, medición #, lectura #, valor #, posición #, espesor #, #a lectura,
        #a medida, #a medición, #er punto, #o punto, lect #, med #, toma #, #a toma
    it: punto #, misura #, lettura #, valore #, posizione #, spessore #, #a misura, #a lettura,
        #o punto, rilievo #, #o rilievo, mis #, lett #, misurazione #, #a misurazione
    pl: punkt #, pomiar #, odczyt #, wartość #, miejsce #, pozycja #, grubość #, # pomiar, # odczyt,
        # punkt, # miejsce, # wartość, pom #, odcz #
    nl: punt #, meting #, meetpunt #, aflezing #, waarde #, plaats #, positie #, laagdikte #,
        #e meting, #ste meting, #de meting, #e aflezing, #ste aflezing, #de aflezing, #e punt,
        #e meetpunt, #e waarde, plek #
    cs: bod #, měření #, odečet #, hodnota #, místo #, pozice #, tloušťka #, # měření, # odečet,
        # bod, # místo, # hodnota, měř #
"""

COATS = """
    en: coat #, layer #, coat no #, layer no #, # coat, # layer
    de: Schicht #, Lage #, Anstrich #, # Schicht, # Lage, # Anstrich, Schicht Nr #
    fr: couche #, couche no #, #e couche
    es: capa #, mano #, #a capa, #a mano
    it: strato #, mano #, #a mano
    pl: warstwa #, powłoka #, # warstwa
    nl: laag #, #e laag
    cs: vrstva #, nátěr #, # vrstva, # nátěr
"""

BESIDE = """
    Lo, Hi, low, high, lo lim, hi lim, low limit, high limit, LSL, USL, flag, alarm, OK, mode
    untere Grenze, obere Grenze, limite basse, limite haute, límite inferior, límite superior
    limite inferiore, limite superiore, dolna granica, górna granica, ondergrens, bovengrens, dolní mez, horní mez
    Tmp, Temp, Batt, Bat, Bat V, Batt V, V bat, U bat
    X, Y, pos X, pos Y, x pos, y pos, X mm, Y mm
    NDFT, NDTF, NSD soll, TSD soll
    en: mean, average, sd, std dev, standard deviation, cv, min, max, minimum, maximum, median,
        range, nominal, nominal DFT, target, specified, limit, requirement, pass, pass fail, probe,
        probe no, substrate, calibration, calibration foil, zero, temperature, humidity, profile,
        surface profile, correction, area, side, tolerance, deviation, solids by volume, memory,
        block, group, statistics, wind, battery, battery voltage, Batterie, Akku, Batteriespannung,
        pile, batería, batteria, bateria, batterij, baterie, battery level, battery state,
        uncertainty, ±, probe type, gauge mode, mode, notes, sheet, shim, foil, operator, checked,
        offset, BMR, blast profile, roughness
    de: Mittelwert, Mittel, Durchschnitt, Standardabweichung, Variationskoeffizient, Minimum,
        Maximum, Soll, Sollwert, Sollschichtdicke, Nennwert, Toleranz, Grenzwert, Anforderung,
        bestanden, Sonde, Untergrund, Kalibrierung, Kalibrierfolie, Nullpunkt, Temperatur,
        Luftfeuchte, Rautiefe, Abweichung, Seite, Spannweite, Festkörpervolumen, Speicherblock,
        Batteriestand, Ladung, Messunsicherheit, Unsicherheit, Folie, Rauheit, Modus, Messmodus
    fr: moyenne, écart-type, minimum, maximum, médiane, nominale, consigne, exigence, limite,
        conforme, sonde, support, étalonnage, température, humidité, face, étendue, tolérance,
        incertitude, rugosité, mode, cale, calibrage, niveau de batterie
    es: media, promedio, desviación estándar, mínimo, máximo, mediana, nominal, objetivo, requisito,
        límite, conforme, sonda, sustrato, calibración, temperatura, humedad, cara, tolerancia,
        incertidumbre, rugosidad, modo, calibre, perfil, nivel de batería
    it: media, deviazione standard, minimo, massimo, mediana, nominale, obiettivo, requisito,
        limite, conforme, sonda, supporto, calibrazione, taratura, temperatura, umidità, lato,
        tolleranza, incertezza, rugosità, modo, spessimetro, profilo
    pl: średnia, odchylenie standardowe, minimum, maksimum, mediana, nominalna, wymaganie, limit,
        sonda, podłoże, kalibracja, temperatura, wilgotność, strona, tolerancja, niepewność,
        chropowatość, tryb, bateria
    nl: gemiddelde, standaardafwijking, minimum, maximum, mediaan, nominaal, eis, grens, sonde,
        ondergrond, kalibratie, temperatuur, luchtvochtigheid, zijde, tolerantie, onzekerheid,
        ruwheid, modus, folie, batterijspanning, batterijniveau
    cs: průměr, směrodatná odchylka, minimum, maximum, medián, jmenovitá, požadavek, limit, sonda,
        podklad, kalibrace, teplota, vlhkost, strana, tolerance, nejistota, drsnost, režim, baterie
"""
