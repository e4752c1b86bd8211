"""What the columns of flow curves and of efflux from flow cups are called."""

import re

METHOD = """
    en: method, test method, procedure, type of test, measuring method, instrument type, technique
    de: Methode, Verfahren, Prüfverfahren, Messverfahren, Prüfmethode, Messmethode, Prüfart
    fr: méthode, procédé, méthode d'essai, méthode de mesure, type d'essai
    es: método, procedimiento, método de ensayo, método de medida, tipo de ensayo
    it: metodo, procedimento, metodo di prova, metodo di misura, tipo di prova
    pl: metoda, sposób, metoda badania, metoda pomiaru, rodzaj badania
    nl: methode, werkwijze, testmethode, meetmethode, soort meting
    cs: metoda, postup, zkušební metoda, metoda měření, druh zkoušky
"""

STEP_VALUES = """
    up =
        en: upward, upwards, up ramp, ramp up, up curve, up sweep, rising, increasing, ascending
        de: aufwärts, auf, hoch, Aufwärtskurve, steigend, Aufwärtsrampe, Hinweg
        fr: montée, montant, montante, croissant, courbe montante, rampe montante
        es: subida, ascendente, creciente, rampa ascendente
        it: salita, crescente, ascendente, rampa in salita
        pl: w górę, rosnąco, rosnąca, krzywa rosnąca
        nl: omhoog, stijgend, op, opgaand
        cs: nahoru, vzestupně, vzestupná, stoupající
    ;
    down =
        en: downward, downwards, down ramp, ramp down, down curve, down sweep, falling, decreasing,
            descending
        de: abwärts, ab, runter, Abwärtskurve, fallend, Abwärtsrampe, Rückweg
        fr: descente, descendant, descendante, décroissant, courbe descendante, rampe descendante
        es: bajada, descendente, decreciente, rampa descendente
        it: discesa, decrescente, discendente, rampa in discesa
        pl: w dół, malejąco, malejąca, krzywa malejąca
        nl: omlaag, dalend, neer, neergaand
        cs: dolů, sestupně, sestupná, klesající
"""

METHOD_VALUES = """
    rotational =
        ISO 3219, DIN EN ISO 3219, ISO 3219-2
        en: rotation, rotational viscometer, rotary, rotational viscosity, rotational rheometer,
            rheometer, flow curve, flow curves, cone and plate, cone-plate, coaxial cylinders,
            concentric cylinders, plate-plate, parallel plates, couette
        de: Rotation, Rotationsviskosimeter, Rotationsviskosimetrie, Rheometer, Fließkurve, Fließkurven,
            Kegel-Platte, Platte-Platte, koaxiale Zylinder, rotatorisch, Rotationsrheometer
        fr: rotationnel, rotatif, viscosimètre rotatif, rhéomètre, courbe d'écoulement, courbes d'écoulement,
            cône-plan,
            plan-plan, cylindres coaxiaux, viscosimètre rotationnel
        es: rotacional, viscosímetro rotacional, reómetro, curva de flujo, curvas de flujo,
            cono-placa, placa-placa,
            cilindros coaxiales
        it: rotazionale, viscosimetro rotazionale, reometro, curva di flusso, curve di flusso,
            cono-piatto,
            piatto-piatto, cilindri coassiali
        pl: rotacyjna, rotacyjny, lepkościomierz rotacyjny, wiskozymetr rotacyjny, reometr,
            krzywa płynięcia, krzywe płynięcia, stożek-płytka, cylindry współosiowe
        nl: roterend, rotatie, rotatieviscosimeter, reometer, vloeicurve, stroomcurve,
            vloeicurves, stroomcurves, kegel-plaat, plaat-plaat, concentrische cilinders,
            coaxiale cilinders
        cs: rotační, rotační viskozimetr, reometr, toková křivka, tokové křivky, kužel-deska, deska-deska,
            souosé válce;
    flow cup =
        ISO 2431, DIN EN ISO 2431, ASTM D1200, ASTM D4212, DIN 53211, NF T30-014, BS 3900-A6
        en: cup, efflux cup, efflux, viscosity cup, efflux time, flow time
        de: Auslaufbecher, Becher, Auslaufzeit, Auslaufviskosität, Viskositätsbecher
        fr: coupe, coupe d'écoulement, coupe consistométrique, temps d'écoulement,
            coupe viscosimétrique
        es: copa, copa de flujo, copa de viscosidad, tiempo de flujo, copa consistométrica
        it: coppa, tazza, coppa di efflusso, tazza di efflusso, tempo di efflusso
        pl: kubek, kubek wypływowy, czas wypływu
        nl: uitloopbeker, beker, uitlooptijd, viscositeitsbeker
        cs: pohárek, výtokový pohárek, doba výtoku, výtoková doba
"""

STEP = """
    en: seg, step, segment, section, interval, ramp, part, phase, sweep, program step, direction, branch,
        stage, interval no, segment no, step no, interval name, curve
    de: Schritt, Abschnitt, Segment, Intervall, Rampe, Teil, Programmschritt, Richtung, Ast,
        Messabschnitt, Abschnitt Nr, Phase, Kurve
    fr: étape, segment, section, intervalle, rampe, partie, palier, sens, phase, courbe
    es: etapa, paso, segmento, sección, intervalo, rampa, parte, sentido, fase, tramo, curva
    it: passo, segmento, sezione, intervallo, rampa, parte, fase, tratto, verso, curva
    pl: krok, segment, odcinek, przedział, etap, rampa, część, faza, kierunek, krzywa
    nl: stap, segment, sectie, interval, helling, deel, fase, richting, curve
    cs: krok, segment, úsek, interval, rampa, část, fáze, směr, větev, křivka
"""

ELAPSED_S = """
    t, t total, t meas, t tot, t ges, t sum, t glob
    en: time, elapsed, elapsed time, time elapsed, test time, measuring time, measurement time,
        total time, run time, time since start, global time, time t, time from start,
        seconds [s], experiment time
    de: Zeit, Messzeit, Meßzeit, Prüfzeit, Versuchszeit, verstrichene Zeit, Gesamtzeit, Laufzeit,
        Zeit seit Start, Zeit ab Start, Zeit t, Versuchsdauer, Sekunden [s]
    fr: temps, temps écoulé, temps de mesure, temps d'essai, durée, temps total, temps t
    es: tiempo, tiempo transcurrido, tiempo de medida, tiempo de ensayo, duración, tiempo total
    it: tempo, tempo trascorso, tempo di misura, tempo di prova, durata, tempo totale
    pl: czas, czas pomiaru, czas badania, czas trwania, czas całkowity, upływ czasu
    nl: tijd, verstreken tijd, meettijd, testtijd, duur, totale tijd
    cs: čas, uplynulý čas, doba měření, čas měření, doba zkoušky, celkový čas
    hu: idő, eltelt idő
    pt: tempo, tempo total, tempo decorrido, tempo de ensaio, tempo de medição
"""

SHEAR_RATE_PER_S = """
    D1/s, shr rate, shr rt, gam dot, gamdot, GD, sh rate, gamma p, shrate, grad vel
    D s-1, ġ, gdot, g dot
    γ̇, γ', gamma dot, gammadot, gamma', D, dγ/dt, γ dot, γ p, gamma point, γ punkt, gamma punkt, SR
    en: shear rate, rate of shear, shear speed, velocity gradient, deformation rate, strain rate,
        shear strain rate, rate, shear velocity, shear gradient, shearrate, apparent shear rate,
        nominal shear rate, shear rate γ, shear rate D, sr, rate of strain
    de: Schergeschwindigkeit, Scherrate, Schergefälle, Geschwindigkeitsgefälle,
        Deformationsgeschwindigkeit, Deformationsrate, Scherrate D, scheinbare Scherrate,
        Verformungsgeschwindigkeit, Schergeschw, Scherg, Schergeschwindigkeit D, Scherrate γ,
        Geschwindigkeitsgradient
    fr: vitesse de cisaillement, taux de cisaillement, gradient de vitesse,
        gradient de cisaillement, vitesse de déformation, gradient, vit. de cisaillement,
        taux de cis, cisaillement
    es: velocidad de cizalla, velocidad de cizalladura, velocidad de cizallamiento, tasa de cizalla,
        gradiente de velocidad, velocidad de corte, velocidad de deformación, gradiente de cizalla,
        vel. de cizalla, veloc. de cizalla, gradiente de corte, tasa de corte
    it: velocità di taglio, velocità di scorrimento, gradiente di velocità, gradiente di taglio,
        velocità di deformazione, velocità di shear, shear rate, vel. di taglio,
        gradiente di scorrimento, tasso di taglio
    pl: szybkość ścinania, prędkość ścinania, gradient prędkości, szybkość odkształcenia,
        szybkość deformacji, gradient ścinania, szyb. ścinania, pręd. ścinania, prędkość deformacji
    nl: afschuifsnelheid, schuifsnelheid, afschuifgradiënt, snelheidsgradiënt, deformatiesnelheid,
        afschuifsnelheid D, afschuifsn, shear rate, vervormingssnelheid
    cs: smyková rychlost, rychlost smyku, rychlostní gradient, smykový gradient, rychlost deformace,
        gradient rychlosti, smyková rychlost D, smyk. rychlost, rychlost smykové deformace,
        rych. smyku
    hu: nyírási sebesség, nyírósebesség, sebességgradiens
    pt: taxa de corte, velocidade de corte, taxa de cisalhamento
"""

SHEAR_STRESS_PA = """
    shr str, sh stress, shr stress, sh str, shstress, shear str, tau s
    τ, tau, σ, sigma, SS
    en: shear stress, stress, shearing stress, shear stress tau, shearstress, apparent shear stress
    de: Schubspannung, Scherspannung, Schubspannung τ, Spannung, Scherkraft pro Fläche
    fr: contrainte de cisaillement, contrainte, contrainte tangentielle, tension de cisaillement
    es: esfuerzo de cizalla, esfuerzo cortante, tensión de cizalla, esfuerzo de corte,
        tensión de cizalladura, tensión tangencial, esfuerzo de cizallamiento, esfuerzo
    it: sforzo di taglio, tensione di taglio, sforzo tangenziale, sforzo, tensione tangenziale
    pl: naprężenie ścinające, naprężenie styczne, naprężenie, naprężenie ścinania
    nl: schuifspanning, afschuifspanning, spanning
    cs: smykové napětí, tečné napětí, napětí, smykové napětí τ
    hu: nyírófeszültség, nyírási feszültség
    pt: tensão de corte, tensão de cisalhamento
"""

VISCOSITY_PA_S = """
    vis
    dyn visc, app visc, visc app, visc dyn, eta dyn, v app, lepk, visco app, dyn. visk
    η, eta, µ, mu, visc, visk, η app, η a, eta app, η s
    en: viscosity, apparent viscosity, dynamic viscosity, shear viscosity, absolute viscosity,
        viscosity eta, viscosity η, apparent dynamic viscosity, measured viscosity, visco, visc.,
        viscosity reading, viscosity value
    de: Viskosität, scheinbare Viskosität, dynamische Viskosität, Scherviskosität, Zähigkeit,
        Viskosität η, Viskosität eta, dyn Viskosität, Viskositätswert, Visk., Viskositätsmesswert,
        gemessene Viskosität
    fr: viscosité, viscosité apparente, viscosité dynamique, viscosité en cisaillement, viscosité η,
        viscosité mesurée, visc., viscosité apparente η, valeur de viscosité
    es: viscosidad, viscosidad aparente, viscosidad dinámica, viscosidad de cizalla, viscosidad η,
        visc., viscosidad medida, valor de viscosidad
    it: viscosità, viscosità apparente, viscosità dinamica, viscosità di taglio, viscosità η, visc.,
        viscosità misurata, valore di viscosità
    pl: lepkość, lepkość pozorna, lepkość dynamiczna, lepkość ścinania, lepkość η, lepk.,
        lepkość zmierzona, wartość lepkości
    nl: viscositeit, schijnbare viscositeit, dynamische viscositeit, afschuifviscositeit,
        viscositeit η, visc., gemeten viscositeit, viscositeitswaarde
    cs: viskozita, zdánlivá viskozita, dynamická viskozita, smyková viskozita, vazkost, viskozita η,
        visk., naměřená viskozita, hodnota viskozity
    hu: viszkozitás, látszólagos viszkozitás, dinamikai viszkozitás
    pt: viscosidade, viscosidade dinâmica, viscosidade aparente
"""

TEMPERATURE_C = """
    Ts, Tp, T in, T avg, T mean, T pt, T samp, T liq, temp avg, temp mean, mean temp, cell temp,
        temp sample, temp in, paint temp, temp paint, temp liq, temp meas, tmp in
    Tpl, T plate, T Platte, T gap, T cone, T cup, T Becher, T coupe, T beker, T kubek
    de: Messtemp, Temp Probe, Temp Platte, Lacktemp, Bechertemp
    fr: temp échantillon, temp peinture, temp plan, temp coupe
    es: temp muestra, temp pintura, temp plato, temp copa
    it: temp campione, temp pittura, temp piastra, temp coppa
    pl: temp próbki, temp farby, temp płytki, temp kubka
    nl: temp monster, temp verf, temp plaat, temp beker, meettemp
    cs: tepl vzorku, tepl barvy, tepl desky, tepl pohárku
    T, t, θ, ϑ, temp, tmp, Tc
    T verf, T paint, T sample, T Lack, T Probe, T peinture, T échantillon, T pintura,
        T muestra, T pittura, T vernice, T campione, T farby, T próbki, T monster, T barvy, T vzorku
    en: temperature, sample temperature, sample temp, test temperature, measuring temperature,
        measurement temperature, paint temperature, cup temperature, plate temperature,
        gap temperature, bath temperature, material temperature, product temperature,
        temperature T, set temperature, temp of sample
    de: Temperatur, Probentemperatur, Messtemperatur, Meßtemperatur, Prüftemperatur,
        Lacktemperatur, Materialtemperatur, Plattentemperatur, Badtemperatur, Bechertemperatur
    fr: température, température de l'échantillon, température échantillon, température d'essai,
        température de mesure, température du bain, température produit
    es: temperatura, temperatura de la muestra, temperatura muestra, temperatura de ensayo,
        temperatura de medida, temperatura del baño
    it: temperatura, temperatura del campione, temperatura campione, temperatura di prova,
        temperatura di misura, temperatura del bagno
    pl: temperatura, temperatura próbki, temp próbki, temperatura badania, temperatura pomiaru
    nl: temperatuur, monstertemperatuur, temperatuur monster, testtemperatuur, meettemperatuur
    cs: teplota, teplota vzorku, zkušební teplota, teplota zkoušky, teplota měření
    hu: hőmérséklet, minta hőmérséklete
    pt: temperatura da amostra, temperatura do ensaio, temperatura de ensaio
"""

CUP = """
    en: cup, flow cup, efflux cup, viscosity cup, cup no, cup number, cup type, cup size, cup used,
        nozzle, orifice, cup and nozzle, cup standard, flow cup used, efflux cup used, cup diameter,
        nozzle diameter, orifice diameter, cup standard and size
    de: Becher, Auslaufbecher, Viskositätsbecher, Becher Nr, Bechertyp, Bechergröße, Düse,
        Düsendurchmesser, Düsenweite, Auslaufdüse, verwendeter Becher, Auslaufbecher Nr, Becherdüse,
        Düse Ø, Becher Ø, Prüfbecher
    fr: coupe, coupe d'écoulement, coupe consistométrique, coupe viscosimétrique, type de coupe,
        numéro de coupe, ajutage, orifice, buse, coupe utilisée, diamètre de l'ajutage, n° de coupe,
        coupe n°
    es: copa, copa de flujo, copa de viscosidad, copa consistométrica, tipo de copa, número de copa,
        orificio, boquilla, copa utilizada, copa n.º, diámetro de la boquilla
    it: coppa, tazza, coppa di efflusso, tazza di efflusso, tipo di coppa, coppa n, ugello,
        orifizio, foro, coppa utilizzata, tazza n, tazza usata, diametro ugello
    pl: kubek, kubek wypływowy, rodzaj kubka, typ kubka, numer kubka, dysza, otwór, użyty kubek,
        nr kubka, średnica dyszy
    nl: beker, uitloopbeker, viscositeitsbeker, bekertype, bekernummer, uitloopopening, sproeier,
        gebruikte beker, beker nr, nr beker, uitloopbeker nr
    cs: pohárek, výtokový pohárek, typ pohárku, číslo pohárku, tryska, otvor, průměr trysky,
        použitý pohárek, č. pohárku, pohárek č
    hu: kifolyópohár, mérőpohár
    pt: copo, taça, copo de viscosidade, copo de escoamento
"""

_ISO_CUP = """
    ISO {0} mm = ISO {0}, ISO{0}, ISO {0}mm, ISO cup {0}, ISO cup {0} mm, ISO 2431 cup {0}, ISO 2431 cup no {0},
        ISO 2431 cup {0} mm, ISO 2431 no {0}, ISO 2431-{0}, ISO 2431 {0}, ISO flow cup {0} mm,
        DIN EN ISO 2431 {0} mm, EN ISO 2431 {0} mm, DIN EN ISO 2431 cup {0}, ISO cup no {0}, ISO 2431 cup no {0},
        ISO 2431 no {0} {0} mm, {0} mm wg ISO 2431, {0} mm nach ISO 2431, {0} mm selon ISO 2431,
        {0} mm según ISO 2431, {0} mm secondo ISO 2431, {0} mm volgens ISO 2431,
        {0} mm podle ISO 2431, {0} mm according to ISO 2431, {0} mm to ISO 2431,
        {0} mm ISO cup, {0} mm ISO, {0} mm ISO 2431, cup {0} mm ISO 2431, flow cup ISO {0} mm
        de: ISO-Becher {0}, ISO-Becher {0} mm, ISO-Auslaufbecher {0} mm, Auslaufbecher ISO {0} mm,
            ISO 2431 Becher {0} mm, Auslaufbecher {0} mm ISO 2431, {0}-mm-ISO-Becher
        fr: coupe ISO {0}, coupe ISO {0} mm, coupe ISO 2431 {0} mm, coupe ISO no {0}
        es: copa ISO {0}, copa ISO {0} mm, copa ISO 2431 {0} mm
        it: coppa ISO {0}, coppa ISO {0} mm, tazza ISO {0}, tazza ISO {0} mm
        pl: kubek ISO {0}, kubek ISO {0} mm, kubek wypływowy ISO {0} mm
        nl: ISO-beker {0}, ISO-beker {0} mm, uitloopbeker ISO {0} mm
        cs: pohárek ISO {0}, pohárek ISO {0} mm, výtokový pohárek ISO {0} mm
""".replace("ISO {0} mm = ", "ISO 2431 {0} mm = ")

# the cup by which the standard calls itself: ASTM D1200, Standard Test Method for Viscosity by Ford
# Viscosity Cup; a trade term, and no product
_ASTM_CUP = """
    ASTM D1200 no. {0} = ASTM D1200 {0}, ASTM D1200-{0}, D1200 no {0}, D1200 {0},
        ASTM cup {0}, ASTM cup no {0}, ASTM D1200 cup {0}, ASTM no {0}, ASTM D 1200 no {0},
        ASTM D1200 cup no {0}, Ford {0}, Ford no {0}, Ford cup {0}, Ford cup no {0}, Ford nr {0},
        Ford {0} mm, FC{0}, ASTM Ford cup {0}, Ford viscosity cup no {0}, Ford-Becher {0},
        coupe Ford {0}, coupe Ford no {0}, copa Ford {0}, copa Ford no {0}, coppa Ford {0},
        tazza Ford {0}, kubek Forda {0}, kubek Forda nr {0}, kubek Ford {0}, Ford-beker {0},
        pohárek Ford {0}, Fordův pohárek {0}
        de: ASTM-Becher {0}, ASTM-Becher Nr {0}, ASTM D1200 Nr {0}, ASTM D1200 Becher {0}
        fr: coupe ASTM {0}, coupe ASTM no {0}, ASTM D1200 numéro {0}
        es: copa ASTM {0}, copa ASTM no {0}, ASTM D1200 núm {0}
        it: coppa ASTM {0}, coppa ASTM n {0}, tazza ASTM {0}
        pl: kubek ASTM {0}, kubek ASTM nr {0}, ASTM D1200 nr {0}
        nl: ASTM-beker {0}, ASTM-beker nr {0}
        cs: pohárek ASTM {0}, pohárek ASTM č {0}, ASTM D1200 č {0}
"""

# the two families of cups that are dipped, by the names that the standard itself gives them: ASTM
# D4212, Standard Test Method for Viscosity by Dip-Type Viscosity Cups; trade terms, and no products
_DIPPED_CUP = """
    ASTM D4212 {1} {0}, ASTM D 4212 {1} no {0}, ASTM D4212 {1} cup no {0},
        ASTM D4212 {1} cup {0}, D4212 {1} no {0}, D4212 {1} {0}, {1} {0}, {1} no {0}, {1} nr {0},
        {1} cup {0}, {1} cup no {0}, {1} cup nr {0}, {1} cup number {0}, {1} viscosity cup {0},
        {1} viscosity cup no {0}, {1} number {0}, no {0} {1}, no {0} {1} cup, {1}-cup {0}
        de: {1}-Becher {0}, {1}-Becher Nr {0}, Tauchbecher {1} {0}, {1}-Tauchbecher {0},
            {1} Becher {0}, {1}-Auslaufbecher {0}
        fr: coupe {1} {0}, coupe {1} no {0}, {1} numéro {0}
        es: copa {1} {0}, copa {1} no {0}, {1} núm {0}
        it: coppa {1} {0}, coppa {1} n {0}, tazza {1} {0}, tazza {1} n {0}
        pl: kubek {1} {0}, kubek {1} nr {0}
        nl: {1}-beker {0}, {1}-beker nr {0}
        cs: pohárek {1} {0}, pohárek {1} č {0}
"""

_DIN_CUP = """
    DIN 53211 4 mm = DIN 53211, DIN 53 211, DIN 4, DIN 4 mm, DIN cup 4, DIN cup 4 mm, DIN cup no 4,
        DIN cup, 4 mm DIN, 4 mm DIN cup, DIN 53211 cup 4 mm, DIN 53211-4, 4 mm DIN 53211,
        DIN flow cup 4 mm, DIN 53211 no 4, cup DIN 4, cup DIN 4 mm
        de: DIN-Becher, DIN-Becher 4, DIN-Becher 4 mm, 4-mm-DIN-Becher, 4er DIN-Becher,
            Auslaufbecher DIN 4, Auslaufbecher DIN 53211, Auslaufbecher DIN 4 mm,
            DIN-Becher Nr 4, Becher DIN 4, 4 mm nach DIN 53211
        fr: coupe DIN, coupe DIN 4, coupe DIN 4 mm, coupe DIN no 4, coupe DIN 53211
        es: copa DIN, copa DIN 4, copa DIN 4 mm, copa DIN 53211
        it: coppa DIN, coppa DIN 4, coppa DIN 4 mm, tazza DIN, tazza DIN 4, tazza DIN 53211
        pl: kubek DIN, kubek DIN 4, kubek DIN 4 mm, kubek wypływowy DIN 4,
            kubek wypływowy DIN 53211, kubek DIN 53211, kubek nr 4 DIN, 4 mm wg DIN 53211
        nl: DIN-beker, DIN-beker 4, DIN-beker 4 mm, uitloopbeker DIN 4, uitloopbeker DIN 53211
        cs: pohárek DIN, pohárek DIN 4, pohárek DIN 4 mm, výtokový pohárek DIN 4,
            výtokový pohárek DIN 53211, 4 mm podle DIN 53211
"""

_AFNOR_CUP = """
    NF T30-014 {0} mm = NF T30-014 {0}, NF T30-014 no {0}, NF T 30-014 {0} mm, AFNOR {0},
        AFNOR {0} mm, AFNOR no {0}, AFNOR cup {0}, AFNOR cup no {0}, AFNOR cup {0} mm
        de: AFNOR-Becher {0}, AFNOR-Becher {0} mm
        fr: coupe AFNOR {0}, coupe AFNOR {0} mm, coupe AFNOR no {0}, coupe no {0} AFNOR,
            coupe {0} AFNOR, coupe NF T30-014 {0} mm, CA {0}, CA{0}
        es: copa AFNOR {0}, copa AFNOR no {0}
        it: coppa AFNOR {0}, coppa AFNOR n {0}, tazza AFNOR {0}
        nl: AFNOR-beker {0}
"""

_BS_CUP = """
    BS 3900-A6 B{0} = BS B{0}, BS cup B{0}, BS 3900 A6 B{0}, BS 3900 B{0}, BS flow cup B{0},
        B{0} cup, BS B{0} cup, BS 3900 part A6 B{0}, B{0} flow cup, BS 3900-A6 cup B{0},
        cup B{0}, flow cup B{0}, BS 3900 A6 cup B{0}, BS cup no B{0}, BS flow cup no B{0}
        de: BS-Becher B{0}
"""
_HALF = """
    {1} {0}, {1} no {0}, {1} nr {0}, {1} cup {0}, {1} cup no {0}, ASTM D4212 {1} no {0}
    de: {1}-Becher {0}, {1}-Becher Nr {0}
"""


def _dipped_cup(family: str, *numbers: str) -> str:
    """Return the words of a dipped cup, whose number is written in one of several ways."""
    words = _DIPPED_CUP.format(numbers[0], family).strip()
    halves = ",".join(_HALF.format(number, family).rstrip() for number in numbers[1:])
    return f"    ASTM D4212 {family} no. {numbers[0]} = {words},{halves}".rstrip(",") + "\n"


OF_CUPS = {  # standard and size -> its words
    **{f"ISO 2431 {size} mm": _ISO_CUP.format(size) for size in (3, 4, 5, 6)},
    **{f"ASTM D1200 no. {number}": _ASTM_CUP.format(number) for number in (1, 2, 3, 4, 5)},
    **{f"ASTM D4212 Zahn no. {number}": _dipped_cup("Zahn", number) for number in "12345"},
    **{
        f"ASTM D4212 Shell no. {numbers[0]}": _dipped_cup("Shell", *numbers)
        for numbers in ("1", "2", ("2.5", "2½", "2 1/2"), "3", ("3.5", "3½", "3 1/2"), *"456")
    },
    "DIN 53211 4 mm": _DIN_CUP,
    **{f"NF T30-014 {size} mm": _AFNOR_CUP.format(size) for size in ("2.5", 4, 6, 8)},
    **{f"BS 3900-A6 B{number}": _BS_CUP.format(number) for number in (2, 3, 4, 5, 6)},
}
CUP_VALUES = ";".join(OF_CUPS.values())


def at_cup(cup: str) -> str:
    """Return the titles of a column of efflux times of one cup: its words in all languages."""
    titles = OF_CUPS[cup].replace(" =", ",", 1).rstrip()
    return re.sub(r",?\n\s*[a-z]{2}: ", ",\n    ", titles)


EFFLUX_S = """
    efx, efl, effl, eff t, t eff, t efl, flow t, flw, flow s, t fl, eff time, efflux t
    t flow, t Auslauf, t efflux s
    t efflux, t out, FT, t a, TF {s}, t f {s}
    en: efflux, efflux time, flow time, flow-out time, outflow time, time of efflux, time of flow,
        cup time, cup times, flow cup times, flow times, efflux times, efflux seconds [s],
        cup seconds [s], run-out time, runout time, drain time,
        cup viscosity, flow cup time, flow cup viscosity, viscosity by flow cup, efflux seconds,
        seconds to break, break time, time to break of stream, flow seconds, cup reading,
        efflux duration, efflux time of cup
    de: Auslaufzeit, Ausfluss, Ausflusszeit, Durchlaufzeit, Becherzeit, Auslaufdauer,
        Auslaufviskosität, Auslauf, Auslaufsekunden [s], Becherviskosität, Auslaufz, AZ,
        Auslaufzeit Becher, Ausfließzeit, Auslaufdauer Becher, Zeit Auslauf, Auslaufwert,
        DIN-Sekunden [s], Auslaufzeit t
    fr: écoulement, temps d'écoulement, durée d'écoulement, temps de coupe, viscosité coupe,
        temps de vidange, temps coupe, t écoulement, temps d'éc, écoulement coupe, temps de passage,
        secondes coupe [s]
    es: flujo, tiempo de flujo, tiempo de escurrimiento, tiempo de vaciado, tiempo de copa,
        viscosidad en copa, tiempo de salida, tiempo copa, tiempo de vertido, tiempo de descarga,
        t flujo, segundos copa [s], vaciado
    it: efflusso, tempo di efflusso, tempo di deflusso, tempo coppa, tempo di scorrimento,
        viscosità in coppa, viscosità tazza, tempo di svuotamento, tempo tazza, t efflusso,
        tempo di flusso, secondi coppa [s], svuotamento
    pl: wypływ, czas wypływu, lepkość umowna, czas wypływu z kubka, lepkość wypływowa, czas wypł,
        t wypływu, lepkość kubek, sekundy kubek [s], czas wypływania, wypływ z kubka
    nl: uitloop, uitlooptijd, doorlooptijd, uitstroomtijd, bekertijd, bekerviscositeit,
        uitlooptijd beker, uitlooptijd t, t uitloop, leegloop, leeglooptijd, bekerseconden [s]
    cs: výtok, doba výtoku, výtoková doba, výtokový čas, čas výtoku, čas výtoku z pohárku, t výtoku,
        výtok z pohárku, doba vytékání, vytékání, doba průtoku
    hu: kifolyási idő, kifolyás ideje
    pt: tempo de escoamento, tempo de efluxo, escoamento
"""

RUN = """
    en: measurement, run no, run number, cup run, determination, determination no, det, det no,
        replicate, replicate no, repeat, repeat no, rep, rep no, trial no, test no, measurement no
    de: Messung, Lauf Nr, Durchlauf, Durchgang, Bestimmung, Bestimmung Nr, Einzelbestimmung,
        Versuch Nr, Messung Nr, Wiederholung, Wiederholung Nr, Wdh, Wdh Nr
    fr: mesure, passage, passage no, répétition, essai no, détermination, détermination no, mesure no
    es: medida, pasada, pasada no, repetición, ensayo no, determinación, determinación no, réplica,
        medida no
    it: misura, passata, passata n, ripetizione, prova n, determinazione, determinazione n, replica,
        misura n
    pl: pomiar, przebieg, przebieg nr, powtórzenie, powtórzenie nr, próba nr, oznaczenie,
        oznaczenie nr, nr oznaczenia, pomiar nr
    nl: meting, herhaling, run nr, proef nr, bepaling, bepaling nr, meting nr, duplo
    cs: měření, opakování, opakování č, pokus, pokus č, stanovení, stanovení č, měření č
    pt: ensaio n.º, determinação, determinação n.º, medição, medição n.º, repetição
"""
RUNS = """
    #, no #, nr #, m#, r#, run#, t#
    en: run #, reading #, measurement #, determination #, test #, time #, efflux #, trial #
    de: Lauf #, Messung #, Versuch #, Bestimmung #, Durchlauf #, Durchgang #, Zeit #, Auslauf #
    fr: essai #, mesure #, passage #, détermination #, lecture #, temps #, coupe #, écoulement #
    es: ensayo #, medida #, medición #, lectura #, determinación #, tiempo #, pasada #
    it: prova #, misura #, lettura #, determinazione #, tempo #, passata #
    pl: próba #, pomiar #, oznaczenie #, odczyt #, czas #, przebieg #
    nl: run #, meting #, bepaling #, proef #, aflezing #, tijd #
    cs: měření #, pokus #, stanovení #, odečet #, čas #, výtok #
"""

BESIDE = """
    nu, kin visc, kin visk, visc kin, gate, stop mode, trq, TRQ, mom, OVL, quality, q, trend
    %
    M, Md, n, N, rpm, Fn, F n, N1, ν, ψ1, % FS, %FS, FS %, sensor %, giri/min, tr/min, U/min, obr/min, ot/min
    thinner, thinner %, Verdünner, diluant, diluente, diluyente, rozcieńczalnik, verdunner, ředidlo
    en: torque, relative torque, torque %, speed, rotational speed, speed of rotation, rotation,
        spindle, bob, spindle no, normal force, normal stress, gap, gap width, deflection,
        deflection angle, strain, shear strain, deformation, point, point no, data point, no,
        meas point, mean, average, sd, std dev, standard deviation, cv, repeat, run,
        duration of step,
        point time, kinematic viscosity, density, room temperature, ambient temperature, humidity,
        geometry, measuring system, system, status, message, error, limit, target, specification,
        complex viscosity, plastic viscosity, storage modulus, loss modulus, correction, factor,
        normal stress difference, shear strain total, time per point,
        set shear rate, target shear rate, set speed
    de: Drehmoment, Moment, Drehzahl, Umdrehungen, Spindel, Normalkraft, Normalspannung, Spalt,
        Spaltweite, Auslenkwinkel, Auslenkung, Deformation, Verformung, Scherung, Messpunkt,
        Punkt Nr, Punkt, Mittelwert, Standardabweichung, Variationskoeffizient, Wiederholung, Lauf,
        komplexe Viskosität, plastische Viskosität, Speichermodul, Verlustmodul,
        kinematische Viskosität, Dichte, Raumtemperatur, Luftfeuchte, Messgeometrie, Messsystem,
        Sollwert, Fehler, Meldung, Grenzwert, Soll-Scherrate, Punktdauer
    fr: couple, vitesse de rotation, vitesse, force normale, entrefer, déformation, point,
        point de mesure, mobile, moyenne, écart-type, viscosité cinématique, viscosité complexe,
        viscosité plastique, densité,
        température ambiante, géométrie, consigne
    es: par, par de torsión, torque, velocidad de giro, velocidad de rotación, velocidad,
        fuerza normal, separación, deformación, punto, punto de medida, husillo, media,
        desviación estándar, viscosidad cinemática, viscosidad compleja,
        viscosidad plástica, densidad, temperatura ambiente, geometría
    it: coppia, velocità di rotazione, velocità, forza normale, intercapedine, deformazione, punto,
        punto di misura, girante, media, deviazione standard, viscosità cinematica, viscosità complessa,
        viscosità plastica, densità,
        temperatura ambiente, geometria
    pl: moment, moment obrotowy, obroty, prędkość obrotowa, siła normalna, szczelina,
        odkształcenie, punkt, punkt pomiarowy, wrzeciono, średnia, odchylenie standardowe,
        lepkość zespolona, lepkość plastyczna, lepkość kinematyczna, gęstość, temperatura otoczenia, geometria
    nl: koppel, toerental, rotatiesnelheid, normaalkracht, spleet, spleetbreedte, vervorming,
        punt, meetpunt, spindel, gemiddelde, standaardafwijking, kinematische viscositeit,
        complexe viscositeit, plastische viscositeit, dichtheid,
        omgevingstemperatuur, geometrie
    cs: moment, krouticí moment, kroutící moment, otáčky, normálová síla, štěrbina, deformace, bod,
        měřicí bod, vřeteno, průměr, směrodatná odchylka, kinematická viskozita, komplexní viskozita,
        plastická viskozita, hustota,
        teplota okolí, geometrie
"""
