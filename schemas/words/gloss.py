"""What the columns of gloss readings are called."""

ANGLE_DEG = """
    θ, ϑ, ε, geom
    en: angle, ang, geometry, measuring angle, measurement angle, angle of incidence, gloss angle,
        incidence angle, measuring geometry, incidence
    de: Winkel, Messwinkel, Meßwinkel, Geometrie, Einfallswinkel, Messgeometrie, Einstrahlwinkel,
        Glanzwinkel
    fr: angle, angle de mesure, géométrie, angle d'incidence, incidence, géométrie de mesure
    es: ángulo, ángulo de medida, ángulo de medición, geometría, ángulo de incidencia
    it: angolo, angolo di misura, geometria, angolo di incidenza, angolo d'incidenza
    pl: kąt, kąt pomiaru, geometria, kąt padania, geometria pomiaru
    nl: hoek, meethoek, geometrie, invalshoek, hoek van inval
    cs: úhel, úhel měření, geometrie, úhel dopadu, měřicí úhel
    hu: szög, mérési szög, mérőszög, geometria
    pt: ângulo de medição, ângulo de medida, geometria
"""

SPOT = """
    pto, pkt, rdg, mpkt
    n, pt, pos, MP
    en: reading, test location, measuring position, measurement spot, replicate, spot, spot no,
        spot number, point, point no, measuring point, position, reading no, reading number,
        measurement no, measurement, no, number, location, place, index, reading, rdg no, spot id,
        location no, place no, measuring point no
    de: Punktnummer, Messpunktnummer, Ablesung Nr, Messposition, Messung lfd Nr, Punkt, Punkt Nr,
        Messpunkt, Meßpunkt, Messstelle, Meßstelle, Stelle, Nr, Nummer, Messung Nr, Messung,
        Position, lfd Nr, Messort, Stelle Nr, Messst, Messstelle Nr, Messpkt, Pkt Nr,
        Messwert Nr
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
        č. místa, č. odečtu, odečet, bod číslo
    hu: mérés, mérés száma, mérési pont, pont, leolvasás, hely
    pt: leitura, leitura n.º, medição, ponto de medição, posição, ponto
"""

GLOSS_GU = """
    G, GU, GE, GLE, UB, SG
    en: gloss, specular gloss, gloss units, gloss value, gloss unit, gloss reading, value,
        measured value, gloss level, gloss result, measured gloss, result
    de: Glanzmesswert, Glanzgrad GE, Glanzzahl, Reflektometerwerte,
        Glanz, Glanzwert, Glanzeinheiten, Glanzgrad, Reflektometerwert, Messwert, Wert,
        Spiegelglanz, Glanzeinheit, Reflektometerglanz
    fr: niveau de brillant, indice de brillance, brillance spéculaire, degré de brillant,
        brillant, brillance, brillant spéculaire, unités de brillant, valeur, valeur de brillant,
        réflexion spéculaire, valeur mesurée
    es: grado de brillo, nivel de brillo, lectura de brillo, índice de brillo,
        brillo, brillo especular, unidades de brillo, valor de brillo, valor, valor medido
    it: brillanza, brillanza speculare, valore di brillantezza, lucidità, lucentezza speculare,
        brillantezza, lucentezza, gloss, brillantezza speculare, brillantezza a specchio, valore,
        unità di brillantezza, grado di brillantezza, riflessione speculare
    pl: poziom połysku, odczyt połysku, wynik połysku,
        połysk, połysk zwierciadlany, jednostki połysku, wartość połysku, wartość, stopień połysku
    nl: glansniveau, glansmeting, spiegelende glans,
        glans, glansgraad, glanseenheden, glanswaarde, waarde, spiegelglans, meetwaarde
    cs: hodnoty lesku, naměřený lesk, lesk povrchu,
        lesk, zrcadlový lesk, jednotky lesku, hodnota lesku, hodnota, stupeň lesku
    hu: fényesség, fény, fényességi érték, mért fényesség, mért érték, érték
    pt: brilho, brilho especular, unidades de brilho, valor de brilho, grau de brilho,
        leitura de brilho
"""


READINGS = """
    en: R#, M#, reading #, rdg #
    de: M#, A#, Ablesung #, Messwert #
    fr: L#, M#, lecture #, mesure #
    es: L#, M#, lectura #, medida #
    it: L#, M#, lettura #, misura #
    pl: O#, P#, odczyt #, pomiar #
    nl: A#, M#, aflezing #, meting #
    cs: O#, M#, odečet #, měření #
    hu: mérés #, leolvasás #
    pt: L#, M#, leitura #, medição #
"""


def at_angle(angle_deg: int) -> str:
    """Return the titles of a column of readings at one angle."""
    return f"""
    {angle_deg}°, {angle_deg}, {angle_deg} °, G{angle_deg}, G{angle_deg}°, GU{angle_deg},
        GU {angle_deg}°, GE {angle_deg}, GE {angle_deg}°, R{angle_deg}, {angle_deg} GU,
        {angle_deg}° GU,
        {angle_deg}° GE
    en: {angle_deg} deg, {angle_deg} degrees, {angle_deg} degree, gloss {angle_deg},
        gloss {angle_deg}°,
        gloss {angle_deg} deg, gloss at {angle_deg}, gloss at {angle_deg}°,
        gloss at {angle_deg} deg,
        gloss at {angle_deg} degrees, {angle_deg} gloss, {angle_deg}° gloss, {angle_deg} deg gloss,
        angle {angle_deg}, {angle_deg} degree gloss
    de: {angle_deg} Grad, Glanz {angle_deg}, Glanz {angle_deg}°, Glanz {angle_deg} Grad,
        Glanz bei {angle_deg}°, Glanz bei {angle_deg}, {angle_deg}° Glanz, {angle_deg}-Grad-Glanz,
        Glanzwert {angle_deg}°, Winkel {angle_deg}°, Glanz bei {angle_deg} Grad
    fr: {angle_deg} degrés, brillant {angle_deg}, brillant {angle_deg}°, brillant à {angle_deg}°,
        brillance {angle_deg}, brillance {angle_deg}°, brillance à {angle_deg}°,
        brillant {angle_deg} deg
    es: {angle_deg} grados, brillo {angle_deg}, brillo {angle_deg}°, brillo a {angle_deg}°,
        brillo {angle_deg} grados, brillo a {angle_deg} grados
    it: {angle_deg} gradi, brillantezza {angle_deg}, brillantezza {angle_deg}°,
        brillantezza a {angle_deg}°, lucentezza {angle_deg}, lucentezza {angle_deg}°,
        brillantezza {angle_deg} gradi
    pl: {angle_deg} stopni, połysk {angle_deg}, połysk {angle_deg}°, połysk pod kątem {angle_deg}°,
        połysk {angle_deg} stopni, połysk przy {angle_deg}°
    nl: {angle_deg} graden, glans {angle_deg}, glans {angle_deg}°, glans bij {angle_deg}°,
        glans onder {angle_deg}°, glans {angle_deg} graden
    cs: {angle_deg} stupňů, lesk {angle_deg}, lesk {angle_deg}°, lesk při {angle_deg}°,
        lesk pod úhlem {angle_deg}°, lesk {angle_deg} stupňů
"""


BESIDE = """
    diff, Δ, dev, hz, Rs, R spec, log haze, HU
    Schleier, Schleierwert, Glanzschleier, voile, velatura, velo, velo riflesso, turbidez, zamglenie, waas, zákal
    Tmp, Temp, Batt, Bat, Bat V, Batt V, V bat, U bat
    DOI, L, a, b, L*, a*, b*, ΔE, ΔG, dE, Rspec, H
    en: mean, average, sd, std dev, standard deviation, cv, min, max, minimum, maximum, median,
        range, haze, haze index, reflectance, image clarity, distinctness of image, class,
        gloss class, matt, appearance, colour, color, limit, requirement, pass, pass fail,
        reference, tile, standard tile, calibration, temperature, direction, orientation,
        film thickness, DFT, gloss change, loss of gloss, gloss retention
    de: Mittelwert, Mittel, Durchschnitt, Standardabweichung, Variationskoeffizient, Minimum,
        Maximum, Spannweite, Glanzschleier, Abbildungsschärfe, Klasse, Glanzklasse, Farbe,
        Grenzwert, Anforderung, bestanden, Kalibrierstandard, Kalibrierung, Temperatur, Richtung,
        Schichtdicke, Restglanz, Glanzverlust
    fr: moyenne, écart-type, minimum, maximum, étendue, voile, classe, couleur, limite, exigence,
        étalonnage, étalon, température, direction, épaisseur, perte de brillant
    es: media, promedio, desviación estándar, mínimo, máximo, velo, clase, color, límite, requisito,
        calibración, patrón, temperatura, dirección, espesor, pérdida de brillo
    it: media, deviazione standard, minimo, massimo, velo, classe, colore, limite, requisito,
        calibrazione, temperatura, direzione, spessore, perdita di brillantezza
    pl: średnia, odchylenie standardowe, minimum, maksimum, zamglenie, klasa, barwa, kolor, limit,
        wymaganie, kalibracja, wzorzec, temperatura, kierunek, grubość
    nl: gemiddelde, standaardafwijking, minimum, maximum, waas, klasse, kleur, grens, eis,
        kalibratie, temperatuur, richting, laagdikte, glansverlies
    cs: průměr, směrodatná odchylka, minimum, maximum, zákal, třída, barva, limit, požadavek,
        kalibrace, teplota, směr, tloušťka, ztráta lesku
"""
