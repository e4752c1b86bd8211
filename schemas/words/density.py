"""What the columns of densities of wet paint are called."""

TEMPERATURE_C = """
    T, t, θ, ϑ, temp, tmp
    en: temperature, sample temperature, sample temp, test temperature, measuring temperature,
        measurement temperature, cup temperature, liquid temperature, paint temperature, bath temp,
        bath temperature, cell temperature, temperature of sample, temp of sample, temperature T,
        material temperature, product temperature
    de: Temperatur, Probentemperatur, Probentemp, Messtemperatur, Meßtemperatur, Prüftemperatur,
        Badtemperatur, Bechertemperatur, Materialtemperatur, Lacktemperatur, Temperatur der Probe
    fr: température, température de l'échantillon, température échantillon, température d'essai,
        température de mesure, temp échantillon, température du bain, température produit
    es: temperatura, temperatura de la muestra, temperatura muestra, temperatura de ensayo,
        temperatura de medición, temp muestra, temperatura del baño
    it: temperatura, temperatura del campione, temperatura campione, temperatura di prova,
        temperatura di misura, temp campione, temperatura del bagno
    pl: temperatura, temperatura próbki, temp próbki, temperatura badania, temperatura pomiaru,
        temperatura kąpieli
    nl: temperatuur, monstertemperatuur, temperatuur monster, testtemperatuur, meettemperatuur,
        temperatuur van het monster, badtemperatuur
    cs: teplota, teplota vzorku, zkušební teplota, teplota zkoušky, teplota měření, teplota lázně
"""

DENSITY_G_CM3 = """
    ρ, rho, ϱ, d, D, dens, SW, WPG, wt per gal
    en: specific mass, specific weight, bulk density, true density,
        density, mass density, wet density, paint density, density of paint, liquid density,
        density measured, density at 23, density at 20, density at 23 °C, density at 20 °C,
        density ρ, density result, weight per volume, weight per gallon, weight per litre,
        mass per volume, mass per gallon, volumetric mass
    de: Dichte, Massendichte, Lackdichte, Nassdichte, Flüssigdichte, Dichte bei 23 °C,
        Dichte bei 20 °C, Dichte ρ, Messwert Dichte, Litergewicht, Rohdichte, spezifisches Gewicht,
        spez Gewicht, Dichte der Probe, Wichte
    fr: densité, masse volumique, densité de la peinture, masse volumique à 23 °C,
        masse volumique à 20 °C, poids spécifique, masse vol, densité mesurée, densité à 23 °C,
        densité à 20 °C
    es: densidad, masa volumétrica, masa específica, densidad de la pintura, densidad a 23 °C,
        densidad a 20 °C, peso específico, densidad medida, masa volúmica
    it: densità, massa volumica, peso specifico, densità della pittura, densità a 23 °C,
        densità a 20 °C, densità misurata
    pl: gęstość, gęstość farby, gęstość próbki, ciężar właściwy, masa właściwa, gęstość w 23 °C,
        gęstość w 20 °C
    nl: dichtheid, soortelijke massa, soortelijk gewicht, volumieke massa, verfdichtheid,
        dichtheid bij 23 °C, dichtheid bij 20 °C, litergewicht
    cs: hustota, měrná hmotnost, objemová hmotnost, hustota barvy, hustota při 23 °C,
        hustota při 20 °C, hustota vzorku
"""

STATE = """
    en: sample condition, condition of sample, sample conditioning,
        state, condition, conditioning, treatment, pretreatment, sample state, state of sample,
        sample treatment, preparation, sample preparation, degassing, vacuum, what, kind,
        sample type, type of sample, status of sample
    de: Zustand, Probenzustand, Vorbehandlung, Behandlung, Probenvorbereitung, Vorbereitung,
        Konditionierung, Entlüftung, Vakuum, Art der Probe, Probenart
    fr: état, état de l'échantillon, traitement, prétraitement, préparation, conditionnement,
        dégazage, vide, type d'échantillon
    es: estado, estado de la muestra, tratamiento, pretratamiento, preparación,
        acondicionamiento, desgasificación, desaireación, vacío, tipo de muestra
    it: stato, stato del campione, trattamento, pretrattamento, preparazione, condizionamento,
        degasaggio, disaerazione, vuoto, tipo di campione
    pl: stan, stan próbki, obróbka, przygotowanie, przygotowanie próbki, kondycjonowanie,
        odpowietrzenie, odgazowanie, próżnia, rodzaj próbki
    nl: toestand, staat, monstertoestand, behandeling, voorbehandeling, voorbereiding,
        monstervoorbereiding, conditionering, ontluchting, ontgassing, vacuüm, soort monster
    cs: stav, stav vzorku, úprava, příprava, příprava vzorku, předúprava, kondicionování,
        odvzdušnění, odplynění, vakuum, druh vzorku
"""

STATE_VALUES = """
    as mixed =
        cs: po smíchání, po zamíchání, čerstvá, čerstvě smíchaná
        pl: po wymieszaniu, po zmieszaniu
        nl: na het mengen, vers gemengd
        it: dopo la miscelazione
        es: tras la mezcla, recién mezclada
        en: fresh, freshly mixed, straight after mixing, mixed, just mixed, after mixing, from mixer, from the mixer,
            as is,
            as received, with air, aerated, undegassed, not degassed, not deaerated, untreated
        de: gemischt, frisch, frisch gemischt, nach dem Mischen, wie gemischt, angemischt, mit Luft,
            unbehandelt, nicht entlüftet, vom Mischer, lufthaltig
        fr: mélangé, frais, fraîchement mélangé, après mélange, tel quel, avec air, non dégazé,
            non traité
        es: mezclado, recién mezclado, fresco, tras la mezcla, tal cual, con aire, sin desgasificar,
            sin tratar
        it: miscelato, fresco, appena miscelato, dopo miscelazione, tal quale, con aria,
            non degasato, non trattato
        pl: wymieszana, wymieszany, świeża, świeży, świeżo wymieszana, po wymieszaniu,
            z powietrzem, nieodpowietrzona, nieodgazowana
        nl: gemengd, vers, vers gemengd, na mengen, zoals gemengd, met lucht, niet ontlucht,
            onbehandeld
        cs: namíchaný, namíchaná, čerstvý, čerstvá, čerstvě namíchaný, po míchání, se vzduchem,
            neodvzdušněný, neodvzdušněná;
    deaerated =
        en: degassed, de-aired, air free, airfree, without air, vacuum, vacuumed, evacuated,
            under vacuum, after vacuum, centrifuged, debubbled, vac
        de: entlüftet, entgast, luftfrei, ohne Luft, Vakuum, evakuiert, nach Vakuum, zentrifugiert,
            vakuumiert, vakuumentlüftet
        fr: dégazé, désaéré, sans air, sous vide, vide, après vide, centrifugé
        es: desgasificado, desaireado, sin aire, vacío, al vacío, tras vacío, centrifugado
        it: degasato, disaerato, senza aria, vuoto, sotto vuoto, dopo vuoto, centrifugato
        pl: odpowietrzona, odpowietrzony, odgazowana, odgazowany, bez powietrza, próżnia,
            po próżni, odwirowana
        nl: ontlucht, ontgast, zonder lucht, luchtvrij, vacuüm, na vacuüm, gecentrifugeerd
        cs: odvzdušněný, odvzdušněná, odplyněný, odplyněná, bez vzduchu, vakuum, po vakuu,
            odstředěný;
    rested =
        en: at rest, after rest, resting, stood, left standing, standing, settled, after standing
        de: geruht, gestanden, abgestanden, nach Ruhe, nach Standzeit, nach Ruhezeit, ruhend
        fr: reposé, au repos, après repos
        es: reposado, en reposo, tras reposo
        it: riposato, a riposo, dopo riposo
        pl: odstana, odstany, po odstaniu, w spoczynku
        nl: gerust, na rust, in rust, na staan
        cs: odstátý, odstátá, po odstání, v klidu, odleželý;
    water =
        H2O
        en: distilled water, deionised water, deionized water, demineralised water, pure water,
            check, water check, calibration, reference water, DI water
        de: Wasser, destilliertes Wasser, dest Wasser, VE-Wasser, deionisiertes Wasser,
            Kontrolle Wasser, Prüfwasser, Reinstwasser
        fr: eau, eau distillée, eau déminéralisée, eau désionisée, eau pure
        es: agua, agua destilada, agua desionizada, agua desmineralizada, agua pura
        it: acqua, acqua distillata, acqua deionizzata, acqua demineralizzata, acqua pura
        pl: woda, woda destylowana, woda dejonizowana, woda demineralizowana
        nl: gedestilleerd water, gedemineraliseerd water, demiwater, zuiver water
        cs: voda, destilovaná voda, deionizovaná voda, demineralizovaná voda
"""

ELAPSED_S = """
    t rest, t stand, t, Δt
    en: time from mixing, time after mix, since mixing, after mixing, at rest, of rest, after stirring,
        rest, rest time, resting time, time at rest, time after mixing, time since mixing,
        minutes after mixing [min], min after mixing [min], standing time, age, age of paint,
        elapsed, elapsed time, waiting time, wait, hold time, time since mix, stood for, rested for,
        rest period, time
    de: Ruhe, Ruhezeit, Standzeit, Stehzeit, Zeit nach Mischen, Zeit nach dem Mischen,
        Zeit seit Mischen, Zeit seit dem Mischen, Minuten nach dem Mischen [min], Wartezeit, Alter,
        verstrichene Zeit, Zeit, Ruhedauer, Standdauer
    de: nach dem Mischen, seit dem Mischen, nach Mischen, nach dem Rühren, in Ruhe
    fr: après mélange, après le mélange, de repos, depuis le mélange
    es: después de mezclar, tras la mezcla, de reposo
    it: dopo la miscelazione, dopo miscelazione, di riposo
    pl: po wymieszaniu, po zmieszaniu, spoczynku
    nl: na het mengen, na mengen, rust
    cs: po smíchání, po míchání, klidu, po zamíchání
    fr: temps depuis le mélange, temps après le mélange,
        repos, temps de repos, durée de repos, temps après mélange, temps depuis mélange,
        temps d'attente, temps écoulé, âge, temps
    es: tiempo desde la mezcla, tiempo tras la mezcla, tiempo después de mezclar,
        reposo, tiempo de reposo, tiempo tras mezcla, tiempo desde mezcla, tiempo de espera,
        tiempo transcurrido, edad, tiempo
    it: tempo dalla mescola, tempo dopo la miscelazione,
        riposo, tempo di riposo, tempo dopo miscelazione, tempo dalla miscelazione,
        tempo di attesa, tempo trascorso, età, tempo
    pl: czas od zmieszania, czas po zmieszaniu,
        odstanie, czas odstania, czas spoczynku, czas po wymieszaniu, czas od wymieszania,
        czas oczekiwania, wiek, czas
    nl: tijd na het mengen, tijd sinds het mengen,
        rust, rusttijd, tijd na mengen, tijd sinds mengen, wachttijd, standtijd,
        verstreken tijd, leeftijd, tijd
    cs: doba od smíchání, doba po smíchání, čas od smíchání, čas po smíchání, doba od míchání, doba po míchání,
        odstání, doba odstání, doba klidu, čas po míchání, čas od míchání, doba čekání, stáří, čas,
        uplynulý čas
"""

UNCERTAINTY_G_CM3 = """
    u, u ρ, u rho, u c, ±
    en: uncertainty, standard uncertainty, uncertainty of density, density uncertainty,
        combined uncertainty, combined standard uncertainty, std uncertainty
    de: Unsicherheit, Standardunsicherheit, Messunsicherheit, Unsicherheit der Dichte,
        kombinierte Unsicherheit
    fr: incertitude, incertitude type, incertitude-type, incertitude de la densité,
        incertitude de mesure
    es: incertidumbre, incertidumbre típica, incertidumbre estándar, incertidumbre de la densidad
    it: incertezza, incertezza tipo, incertezza standard, incertezza della densità
    pl: niepewność, niepewność standardowa, niepewność gęstości, niepewność pomiaru
    nl: onzekerheid, standaardonzekerheid, meetonzekerheid, onzekerheid dichtheid
    cs: nejistota, standardní nejistota, nejistota hustoty, nejistota měření
"""

MASS_FULL_G = """
    m2, m full, m gross, mf, m filled
    en: mass full, full, gross, gross mass, gross weight, mass filled, filled, weight filled,
        mass of full cup, weight full, full cup, full pyknometer, full pycnometer, filled cup,
        mass of filled cup, mass of cup with sample, mass of pyknometer with sample,
        mass of pycnometer with sample, cup + paint, cup and paint, cup with paint, cup + sample,
        pyknometer + sample, pycnometer + sample, pyknometer + paint, pycnometer + paint
    de: Masse voll, voll, brutto, Bruttomasse, Bruttogewicht, Masse gefüllt, gefüllt,
        Gewicht voll, Pyknometer voll, Pyknometer gefüllt, Masse Pyknometer gefüllt, Becher voll,
        Becher gefüllt, Masse volles Pyknometer, Pyknometer + Probe, Pyknometer mit Probe,
        Becher + Probe, Pyknometer + Lack
    fr: masse pleine, plein, brut, masse brute, poids brut, masse rempli, rempli,
        pycnomètre plein, pycnomètre rempli, pycnomètre + échantillon, coupelle pleine,
        godet plein, masse du pycnomètre plein, pycnomètre + peinture
    es: masa lleno, lleno, bruto, masa bruta, peso bruto, picnómetro lleno, picnómetro + muestra,
        masa picnómetro lleno, masa del picnómetro lleno, picnómetro con muestra,
        picnómetro + pintura
    it: massa pieno, pieno, lordo, massa lorda, peso lordo, picnometro pieno,
        picnometro + campione, massa del picnometro pieno, picnometro con campione,
        picnometro + pittura
    pl: masa pełnego, pełny, brutto, masa brutto, piknometr pełny, piknometr z próbką,
        masa pełnego piknometru, piknometr + próbka, piknometr z farbą, masa piknometru z próbką
    nl: massa vol, bruto, brutomassa, brutogewicht, pyknometer vol, gevulde pyknometer,
        pyknometer + monster, massa gevulde pyknometer, pyknometer gevuld, beker vol
    cs: hmotnost plného, plný, brutto, hmotnost brutto, pyknometr plný, pyknometr se vzorkem,
        hmotnost plného pyknometru, pyknometr + vzorek, hmotnost pyknometru se vzorkem
"""

MASS_EMPTY_G = """
    m1, m empty, m tare, me
    en: mass empty, empty, tare, tare mass, tare weight, mass of empty cup, weight empty, empty cup,
        empty pyknometer, empty pycnometer, mass of empty pyknometer, mass of empty pycnometer,
        cup empty, mass of cup, pyknometer empty, pycnometer empty
    de: Masse leer, leer, Tara, Taramasse, Taragewicht, Leergewicht, Leermasse, Gewicht leer,
        Pyknometer leer, Masse Pyknometer leer, Becher leer, Masse leeres Pyknometer
    fr: masse vide, tare, poids à vide, masse à vide, pycnomètre vide, godet vide,
        coupelle vide, masse du pycnomètre vide
    es: masa vacío, tara, peso tara, peso vacío, picnómetro vacío, masa picnómetro vacío,
        masa del picnómetro vacío
    it: massa vuoto, tara, peso tara, peso a vuoto, picnometro vuoto, massa del picnometro vuoto
    pl: masa pustego, pusty, tara, masa tary, piknometr pusty, masa pustego piknometru
    nl: massa leeg, leeg, tarra, tarragewicht, leeggewicht, pyknometer leeg, lege pyknometer,
        massa lege pyknometer, beker leeg
    cs: hmotnost prázdného, prázdný, tára, pyknometr prázdný, prázdný pyknometr,
        hmotnost prázdného pyknometru
"""

MASS_SAMPLE_G = """
    m, m3, m sample, m net, mn
    en: mass, weight, net, net mass, net weight, sample mass, sample weight, mass of sample,
        weight of sample, mass of paint, paint mass, weight of paint, mass of contents, contents
    de: Masse, Gewicht, netto, Nettomasse, Nettogewicht, Probenmasse, Einwaage, Probengewicht,
        Masse der Probe, Masse Probe, Füllmasse, Masse Lack
    fr: masse, poids, net, masse nette, poids net, masse de l'échantillon, masse échantillon,
        prise d'essai, masse de peinture
    es: masa, peso, neto, masa neta, peso neto, masa de la muestra, masa muestra,
        masa de pintura
    it: massa, peso, netto, massa netta, peso netto, massa del campione, massa campione,
        massa di pittura
    pl: masa, netto, masa netto, masa próbki, naważka, masa farby, waga
    nl: massa, gewicht, netto, nettomassa, nettogewicht, massa monster, monstermassa, inweeg,
        massa verf
    cs: hmotnost, netto, hmotnost netto, hmotnost vzorku, navážka, hmotnost barvy, váha
"""

VOLUME_CM3 = """
    V, vol, V cup, Vp
    en: volume, cup volume, volume of cup, pyknometer volume, pycnometer volume,
        volume of pyknometer, volume of pycnometer, capacity, nominal volume, calibrated volume,
        sample volume
    de: Volumen, Bechervolumen, Pyknometervolumen, Volumen Pyknometer, Volumen des Pyknometers,
        Inhalt, Nennvolumen, Probenvolumen, Rauminhalt
    fr: volume, volume du pycnomètre, volume pycnomètre, volume du godet, contenance,
        volume nominal, capacité
    es: volumen, volumen del picnómetro, volumen picnómetro, capacidad, volumen nominal
    it: volume, volume del picnometro, volume picnometro, capacità, volume nominale
    pl: objętość, objętość piknometru, pojemność, pojemność piknometru
    nl: volume, pyknometervolume, volume pyknometer, inhoud, bekervolume, nominaal volume
    cs: objem, objem pyknometru, jmenovitý objem
"""

BESIDE = """
    SG, s g, sp gr, d20/4, d 20/4, WPL
    en: specific gravity, relative density, viscosity, sound velocity, oscillation period, period,
        frequency of oscillation, air content, entrapped air, air, deviation, room temperature,
        ambient temperature, humidity, relative humidity, pressure, vacuum pressure, method,
        standard, target, limit, nominal, specification, mean, average, sd, std dev,
        standard deviation, repeat, balance, air buoyancy, solids
    de: relative Dichte, Dichteverhältnis, Viskosität, Schwingungsdauer, Luftgehalt, Abweichung,
        Raumtemperatur, Umgebungstemperatur, Luftfeuchte, relative Feuchte, Druck, Luftdruck,
        Methode, Norm, Sollwert, Grenzwert, Mittelwert, Standardabweichung, Waage, Auftrieb,
        Festkörper
    fr: densité relative, viscosité, teneur en air, écart, température ambiante, humidité,
        pression, méthode, norme, moyenne, écart-type, balance
    es: densidad relativa, gravedad específica, viscosidad, contenido de aire, desviación,
        temperatura ambiente, humedad, presión, método, norma, media, desviación estándar, balanza
    it: densità relativa, gravità specifica, viscosità, contenuto d'aria, scarto,
        temperatura ambiente, umidità, pressione, metodo, norma, media, deviazione standard,
        bilancia
    pl: gęstość względna, lepkość, zawartość powietrza, odchylenie, temperatura otoczenia,
        wilgotność, ciśnienie, metoda, norma, średnia, odchylenie standardowe, waga laboratoryjna
    nl: relatieve dichtheid, viscositeit, luchtgehalte, afwijking, omgevingstemperatuur,
        luchtvochtigheid, druk, methode, norm, gemiddelde, standaardafwijking, balans
    cs: relativní hustota, viskozita, obsah vzduchu, odchylka, teplota okolí, vlhkost, tlak,
        metoda, norma, průměr, směrodatná odchylka, váhy
"""
