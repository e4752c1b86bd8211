"""What the columns of foam tests on wet paint are called."""

from tiecoat.schemas.words import density
from tiecoat.schemas.words.not_stated import NOT_STATED

TEMPERATURE_C = density.TEMPERATURE_C
DETERMINATION = (
    density.DETERMINATION
    + """
    shake no, shake number
"""
)

METHOD = """
    en: method, foaming method, method of foaming, test method, procedure, foam generation,
        foamed by, how foamed, foam made by, agitation, way of foaming, foaming
    de: Methode, Verfahren, Prüfverfahren, Schaumerzeugung, Aufschäumen, Art der Schaumerzeugung,
        Schaum erzeugt durch, aufgeschäumt durch, Prüfmethode, Aufschäumung
    fr: méthode, procédé, méthode d'essai, moussage, production de mousse, génération de mousse,
        mode de moussage, mode opératoire
    es: método, procedimiento, método de ensayo, espumado, formación de espuma,
        generación de espuma, modo de espumado
    it: metodo, procedimento, metodo di prova, schiumatura, formazione di schiuma,
        generazione della schiuma, modo di schiumatura
    pl: metoda, sposób, metoda badania, spienianie, wytwarzanie piany, sposób spieniania
    nl: methode, werkwijze, testmethode, opschuimen, schuimvorming, wijze van schuimen,
        schuimopwekking
    cs: metoda, postup, zkušební metoda, napěnění, tvorba pěny, způsob napěnění, vznik pěny
"""

METHOD_VALUES = (
    """
    stirred =
        ASTM D3519, D3519
        en: stirring, stirrer, by stirring, after stirring, dissolver, mixer, blender, whipped,
            beaten, agitated, high-speed stirrer, stirring test, paddle stirrer, stir test, blender test
        de: gerührt, Rühren, Rührer, durch Rühren, nach dem Rühren, Dissolver, Mischer, Mixer,
            geschlagen, Rührtest, aufgerührt, Rührversuch, Schlagen
        fr: agité au mélangeur, par agitation mécanique, mélangeur, malaxé, battu, disperseur,
            sous agitateur, par brassage, brassage, brassé, agitation mécanique, hélice, à l'hélice,
            agitation à l'hélice, agitateur à hélice
        es: agitador, con agitador, batido, por batido, mezclador, disolvedor, removido,
            con batidora, batidora
        it: mescolato, agitatore, con agitatore, sbattuto con frusta, dissolutore, miscelatore,
            per mescolamento, frullato, agitazione con dissolver, agitazione a elica
        pl: mieszanie, mieszany, mieszadło, przez mieszanie, mieszana, po mieszaniu, mieszano, dysolwer,
            ubijanie, mieszadłem
        nl: geroerd, roeren, roerder, door roeren, na roeren, dissolver roeren, geklopt, kloppen
        cs: míchání, míchaný, míchaná, míchadlo, mícháním, po míchání, šlehání, dissolver,
            míchadlem;
    shaken =
        ASTM D3601, D3601
        en: shaking, shaker, by shaking, after shaking, bottle test, hand shaken, shake test,
            shaken by hand, cylinder shaken
        de: geschüttelt, Schütteln, Schüttler, durch Schütteln, nach dem Schütteln, Schütteltest,
            Schüttelversuch, Flaschentest
        fr: secoué, par secousses, secouage, après secouage, essai en flacon, agité à la main,
            secoueur
        es: sacudir, tras sacudir, sacudido, por sacudidas, sacudida, agitado a mano, ensayo en botella, sacudidor
        it: scosso, per scuotimento, scuotimento, dopo scuotimento, agitato a mano,
            prova in bottiglia, scuotitore
        pl: wstrząsanie, wstrząsany, wstrząsana, wytrząsanie, przez wstrząsanie, po wstrząsaniu,
            wstrząsano, wstrząsać,
            próba butelkowa
        nl: geschud, schudden, door schudden, na schudden, schudproef, flestest, schudtest
        cs: třepání, třepaný, třepaná, třepáním, po třepání, protřepaný, zkouška v láhvi;
    aerated =
        ASTM D892, ISO 6247, D892
        en: air blown in, blowing, blown, aeration, sparge, sparged, sparging, gas diffuser, by air,
            bubbling, air bubbled, blowing in air, after blowing, air injection, injection of air,
            air injected
        de: Luft eingeblasen, Einblasen, begast, Begasung, belüftet, Belüftung, durch Luft,
            Lufteinblasung, Lufteinleitung, Einleiten von Luft, mit Luft begast, Einblasen von Luft, Luftinjektion
        fr: air insufflé, insufflation, bullage, soufflage, par insufflation, aération, aéré,
            insufflation d'air, injection d'air
        es: aire insuflado, insuflación, burbujeo, soplado, aireación, aireado, insuflación de aire,
            inyección de aire, aire inyectado
        it: aria insufflata, insufflazione, gorgogliamento, soffiaggio, aerazione, aerato,
            insufflazione d'aria, iniezione d'aria
        pl: napowietrzanie, napowietrzany, napowietrzana, przedmuchiwanie, wdmuchiwanie powietrza,
            barbotaż, wtrysk powietrza
        nl: lucht ingeblazen, met lucht, luchtdoorstroming, inblazen, doorblazen, beluchting, belucht, inblazen van lucht,
            luchtinjectie
        cs: vhánění vzduchu, profukování, provzdušnění, provzdušněný, probublávání,
            vháněním vzduchu, vstřikování vzduchu;
    poured =
        ASTM D1173, ISO 696, D1173
        en: pouring, by pouring, after pouring, poured from a height, falling stream, pour test
        de: gegossen, Gießen, durch Gießen, nach dem Gießen, Gießtest, Gießversuch
        fr: versé, par versement, versement, par chute, écoulement en chute
        es: vertido, por vertido, verter, por caída
        it: versato, per versamento, versamento, per caduta
        pl: przelewanie, nalewanie, przelewany, przez przelewanie, wylewanie
        nl: gegoten, gieten, door gieten, na gieten, gietproef
        cs: lití, přelévání, litím, přeléváním, nalévání;
"""
    + NOT_STATED
)

ELAPSED_S = (
    density.ELAPSED_S
    + """
    tick, ticks
    en: minutes [min], seconds [s], time after shaking, time since shaking, time after blowing, time after aeration,
        time after foaming, time after pouring, time since foaming, after shaking, after foaming,
        time of collapse, collapse time, settling time, decay time, minutes after shaking [min],
        minutes after foaming [min], seconds after stirring [s], seconds after shaking [s],
        time after stopping, time after switching off, time after gas stop, time after gas off,
        time after air stop, time after air off, time since gas stop, time after sparging
    de: Minuten [min], Sekunden [s], Zeit nach Schütteln, Zeit nach dem Schütteln, Zeit nach dem Einblasen,
        Zeit nach Aufschäumen, Zeit nach dem Aufschäumen, nach dem Aufschäumen, Zerfallszeit,
        Zeit nach Rührende, Zeit nach Abschalten, Minuten nach dem Rühren [min],
        Minuten nach dem Schütteln [min], Sekunden nach dem Rühren [s], Absetzzeit
    fr: minutes [min], secondes [s], temps après secouage, temps après moussage, temps après insufflation, après moussage,
        temps d'affaissement, temps après arrêt, minutes après agitation [min],
        secondes après agitation [s]
    es: minutos [min], segundos [s], tiempo tras sacudir, tiempo tras espumado, tiempo tras insuflación, tras espumado,
        tiempo de colapso, tiempo tras parada, minutos tras agitar [min], segundos tras agitar [s]
    it: minuti [min], secondi [s], tempo dopo scuotimento, tempo dopo schiumatura, tempo dopo insufflazione, dopo schiumatura,
        tempo di collasso, tempo dopo arresto, minuti dopo agitazione [min],
        secondi dopo agitazione [s]
    pl: minuty [min], sekundy [s], czas po wstrząsaniu, czas po spienieniu, czas po napowietrzaniu, po spienieniu,
        czas opadania, czas od spienienia, minuty po mieszaniu [min], sekundy po mieszaniu [s]
    nl: minuten [min], seconden [s], tijd na schudden, tijd na opschuimen, tijd na inblazen, na opschuimen, inzaktijd,
        tijd na stoppen, minuten na roeren [min], seconden na roeren [s]
    pt: minutos [min], segundos [s], tempo após espumar, tempo após verter, tempo após insuflação,
        tempo após paragem, minutos após agitar [min]
    cs: minuty [min], sekundy [s], čas po třepání, čas po napěnění, čas po provzdušnění, po napěnění, doba rozpadu,
        doba po napěnění, sekundy po míchání [s], minuty po napěnění [min]
"""
)

_FOAM = """
    en: foam, foam level, net foam
    de: Schaum, Schaumstand
    fr: mousse, niveau de mousse
    es: espuma, nivel de espuma
    it: schiuma, livello schiuma
    pl: piana, poziom piany
    nl: schuim, schuimniveau
    cs: pěna, hladina pěny
    hu: hab, habszint
    pt: espuma, nível de espuma
"""

FOAM_HEIGHT_MM = (
    _FOAM
    + """
    h foam, H foam, h f, hF, h Schaum, h mousse, h piany, h schuim
    en: foam height, height of foam, foam column, height of foam column, foam head, head of foam,
        net foam height, foam layer, thickness of foam, foam depth, height of the foam
    de: Schaumhöhe, Höhe des Schaums, Höhe Schaum, Schaumsäule, Schaumschicht, Höhe der Schaumsäule,
        Schaumdicke, Schaumkrone, Höhe Schaumschicht
    fr: hauteur de mousse, hauteur mousse, hauteur de la mousse, colonne de mousse,
        épaisseur de mousse, couche de mousse
    es: altura de espuma, altura espuma, altura de la espuma, columna de espuma,
        capa de espuma, espesor de espuma
    it: altezza della schiuma, altezza schiuma, altezza di schiuma, colonna di schiuma,
        strato di schiuma, spessore schiuma
    pl: wysokość piany, wys. piany, słup piany, warstwa piany, grubość piany
    nl: schuimhoogte, hoogte schuim, hoogte van het schuim, schuimkolom, schuimlaag, schuimdikte
    cs: výška pěny, výš. pěny, sloupec pěny, vrstva pěny, tloušťka pěny
    hu: habmagasság, hab magassága
    pt: altura de espuma, altura da espuma, coluna de espuma
"""
)

FOAM_VOLUME_ML = (
    _FOAM
    + """
    V foam, Vf, V F, V Schaum, V mousse, V piany, V schuim
    en: foam volume, volume of foam, volume foam, foam vol, net foam volume, vol of foam,
        amount of foam, volume of the foam, foaming tendency, foam stability volume
    de: Schaumvolumen, Volumen des Schaums, Volumen Schaum, Schaumvol, Schaummenge,
        Schäumneigung Volumen, Volumen der Schaumschicht
    fr: volume de mousse, volume mousse, volume de la mousse, vol de mousse, quantité de mousse
    es: volumen de espuma, volumen espuma, volumen de la espuma, vol de espuma, cantidad de espuma
    it: volume della schiuma, volume schiuma, volume di schiuma, vol schiuma, quantità di schiuma
    pl: objętość piany, obj. piany, ilość piany, objętość słupa piany
    nl: schuimvolume, volume schuim, volume van het schuim, hoeveelheid schuim
    cs: objem pěny, obj. pěny, množství pěny, objem vrstvy pěny
    hu: habtérfogat, hab térfogata
    pt: volume de espuma, volume da espuma, quantidade de espuma
"""
)

_BEFORE = {  # language -> the liquid; before; what was done to it
    "en": ("liquid, paint", "before, prior to", "stirring, shaking, foaming, test, the test"),
    "de": (
        "Flüssigkeit, Lack",
        "vor dem, vor",
        "Rühren, Schütteln, Aufschäumen, Test, Versuch, Gießen, Einblasen",
    ),
    "fr": (
        "liquide, peinture",
        "avant, avant l', avant le",
        "essai, agitation, secouage, moussage, brassage",
    ),
    "es": (
        "líquido, pintura",
        "antes de, antes del",
        "agitar, sacudir, batir, ensayo, espumado, verter",
    ),
    "it": (
        "liquido, pittura",
        "prima di, prima della, prima dell'",
        "agitazione, prova, agitare, scuotere, schiumatura, versamento",
    ),
    "pl": (
        "ciecz, farba",
        "przed",
        "wstrząsaniem, mieszaniem, spienianiem, badaniem, próbą, przelewaniem",
    ),
    "nl": (
        "vloeistof, verf",
        "voor, vóór, voor het",
        "roeren, schudden, opschuimen, proef, gieten",
    ),
    "cs": ("kapalina, barva", "před", "mícháním, třepáním, napěněním, zkouškou, přeléváním"),
}
_ALONE = """
    en: liquid before, paint before, liquid
    de: Flüssigkeit, Flüssigkeit vorher, Flüssigkeit davor, Lack vorher
    fr: liquide, liquide avant, liquide au départ, liquide initial
    es: líquido, líquido antes, líquido inicial, líquido al inicio
    it: liquido, liquido prima, liquido iniziale, liquido all'inizio
    pl: ciecz, ciecz przed, ciecz na początku, ciecz początkowo
    nl: vloeistof, vloeistof vooraf, vloeistof ervoor, vloeistof aan het begin
    cs: kapalina, kapalina předtím, kapalina na začátku
"""


def _before() -> str:
    """Return what the liquid before the test is called: its unit tells a height from a volume."""
    return _ALONE + "".join(
        f"    {language}: "
        + ", ".join(
            f"{liquid} {before} {done}"
            for liquid in liquids.split(", ")
            for before in befores.split(", ")
            for done in treatments.split(", ")
        )
        + "\n"
        for language, (liquids, befores, treatments) in _BEFORE.items()
    )


LIQUID_BEFORE = _before()

LIQUID_HEIGHT_MM = (
    LIQUID_BEFORE
    + """
    h liquid, h0, h l, h liq, I, liq, liq level
    en: liquid height, height of liquid, initial height, initial liquid height, liquid level,
        height of the liquid, height without foam, paint height, height of paint, filling height,
        fill height, height before foaming, start height
    de: Flüssigkeitshöhe, Höhe der Flüssigkeit, Füllhöhe, Höhe ohne Schaum, Lackhöhe, Anfangshöhe,
        Höhe vor dem Aufschäumen, Ausgangshöhe, Höhe Flüssigkeit, Flüssigkeitsstand
    fr: hauteur de liquide, hauteur du liquide, hauteur initiale, hauteur sans mousse,
        hauteur de peinture, hauteur de remplissage, niveau de liquide
    es: altura del líquido, altura de líquido, altura inicial, altura sin espuma,
        altura de pintura, altura de llenado, nivel de líquido
    it: altezza del liquido, altezza liquido, altezza iniziale, altezza senza schiuma,
        altezza della pittura, altezza di riempimento, livello del liquido
    pl: wysokość cieczy, wysokość początkowa, wysokość bez piany, wysokość farby,
        wysokość napełnienia, poziom cieczy
    nl: vloeistofhoogte, hoogte vloeistof, beginhoogte, hoogte zonder schuim, verfhoogte, vulhoogte,
        vloeistofniveau
    cs: výška kapaliny, počáteční výška, výška bez pěny, výška barvy, výška náplně,
        hladina kapaliny
"""
)

LIQUID_VOLUME_ML = (
    LIQUID_BEFORE
    + """
    V liquid, V0, V l, V liq, Vl, liq, V Flüss, V Flüssigkeit, V liquide, V cieczy, V kap
    en: liquid volume, volume of liquid, initial volume, volume without foam, paint volume,
        volume of paint, filling volume, fill volume, sample volume, volume before foaming,
        test volume, volume of sample
    de: Flüssigkeitsvolumen, Volumen der Flüssigkeit, Anfangsvolumen, Volumen ohne Schaum,
        Lackvolumen, Füllvolumen, Probenvolumen, Ausgangsvolumen, Volumen Flüssigkeit,
        Volumen vor dem Aufschäumen
    fr: volume de liquide, volume du liquide, volume initial, volume sans mousse,
        volume de peinture, volume de remplissage, volume de l'échantillon
    es: volumen de líquido, volumen del líquido, volumen inicial, volumen sin espuma,
        volumen de pintura, volumen de llenado, volumen de la muestra
    it: volume del liquido, volume liquido, volume iniziale, volume senza schiuma,
        volume di pittura, volume di riempimento, volume del campione
    pl: objętość cieczy, objętość początkowa, objętość bez piany, objętość farby,
        objętość napełnienia, objętość próbki
    nl: vloeistofvolume, volume vloeistof, beginvolume, volume zonder schuim, verfvolume, vulvolume,
        monstervolume
    cs: objem kapaliny, počáteční objem, objem bez pěny, objem barvy, objem náplně, objem vzorku
"""
)

TOTAL_HEIGHT_MM = """
    hT, h T, H T, h sum, tot h, h all
    h total, h tot, H tot, M
    en: total height, height of foam and liquid, height with foam, height including foam,
        foam + liquid height, total level, overall height, height liquid + foam,
        height of liquid and foam, total height with foam, maximum total height
    de: Gesamthöhe, Höhe mit Schaum, Höhe Schaum + Flüssigkeit, Höhe gesamt, Gesamtstand,
        Höhe Flüssigkeit + Schaum, Höhe von Schaum und Flüssigkeit, Höhe einschließlich Schaum
    fr: hauteur totale, hauteur avec mousse, hauteur mousse + liquide, hauteur du tout,
        hauteur totale avec mousse
    es: altura total, altura con espuma, altura espuma + líquido, altura total con espuma
    it: altezza totale, altezza con schiuma, altezza schiuma + liquido, altezza complessiva
    pl: wysokość całkowita, wysokość z pianą, wysokość piany i cieczy, wysokość łączna
    nl: totale hoogte, hoogte met schuim, hoogte schuim + vloeistof, totaalhoogte
    cs: celková výška, výška s pěnou, výška pěny a kapaliny, výška celkem
"""

TOTAL_VOLUME_ML = """
    V total, V tot, Vtot
    en: total volume, volume of foam and liquid, volume with foam, volume including foam,
        foam + liquid volume, overall volume, volume liquid + foam, volume of liquid and foam
    de: Gesamtvolumen, Volumen mit Schaum, Volumen Schaum + Flüssigkeit, Volumen gesamt,
        Volumen Flüssigkeit + Schaum, Volumen einschließlich Schaum
    fr: volume total, volume avec mousse, volume mousse + liquide, volume total avec mousse
    es: volumen total, volumen con espuma, volumen espuma + líquido, volumen total con espuma
    it: volume totale, volume con schiuma, volume schiuma + liquido, volume complessivo
    pl: objętość całkowita, objętość z pianą, objętość piany i cieczy, objętość łączna
    nl: totaal volume, volume met schuim, volume schuim + vloeistof, totaalvolume
    cs: celkový objem, objem s pěnou, objem pěny a kapaliny, objem celkem
"""

BESIDE = """
    lux, bub, bub count, bubbles, light, px
    rpm, U/min, min-1, 1/min, LED, lamp, contrast, frame, frame no, conf, confidence, intensity
    en: speed, stirring speed, stirring time, duration of stirring, strokes, air flow, air rate,
        flow rate, foam density, drained liquid, liquid drained, bubble size, appearance, density,
        viscosity, collapse, foam left, relative foam, room temperature, humidity, vessel,
        cylinder, standard, mean, average, standard deviation, limit, target
    de: Drehzahl, Rührgeschwindigkeit, Rührzeit, Rührdauer, Hübe, Luftstrom, Luftmenge, Durchfluss,
        Schaumdichte, Drainage, abgelaufene Flüssigkeit, Blasengröße, Aussehen, Dichte, Viskosität,
        Raumtemperatur, Luftfeuchte, Gefäß, Zylinder, Norm, Mittelwert, Standardabweichung,
        Grenzwert, Sollwert, Restschaum in Prozent
    fr: vitesse, vitesse d'agitation, durée d'agitation, débit d'air, débit, densité de mousse,
        liquide drainé, taille des bulles, aspect, densité, viscosité, température ambiante,
        humidité, éprouvette graduée, norme, moyenne, écart-type, limite
    es: velocidad, velocidad de agitación, caudal de aire, caudal, densidad de espuma,
        líquido drenado, tamaño de burbuja, aspecto, densidad, viscosidad, temperatura ambiente,
        humedad, norma, media, desviación estándar, límite
    it: velocità, velocità di agitazione, portata d'aria, portata, densità della schiuma,
        liquido drenato, dimensione delle bolle, aspetto, densità, viscosità, temperatura ambiente,
        umidità, norma, media, deviazione standard, limite
    pl: prędkość mieszania, obroty, przepływ powietrza, gęstość piany, wielkość pęcherzyków, wygląd,
        gęstość, lepkość, temperatura otoczenia, wilgotność, norma, średnia,
        odchylenie standardowe, limit
    nl: toerental, roersnelheid, roertijd, luchtstroom, schuimdichtheid, belgrootte, uiterlijk,
        dichtheid, viscositeit, omgevingstemperatuur, luchtvochtigheid, norm, gemiddelde,
        standaardafwijking, grens
    cs: otáčky, rychlost míchání, průtok vzduchu, hustota pěny, velikost bublin, vzhled, hustota,
        viskozita, teplota okolí, vlhkost, norma, průměr, směrodatná odchylka, limit
"""
