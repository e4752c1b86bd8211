"""What the columns of records of test chambers are called."""

CHAMBER = """
    en: chamber, cabinet, test chamber, chamber no, cabinet no, test cabinet, salt spray chamber,
        chamber id, which chamber, salt spray cabinet, box
    de: Kammer, Prüfkammer, Kammer Nr, Prüfschrank, Sprühkammer, Salzsprühkammer, Schrank,
        Klimakammer, Prüfraum, Truhe, Prüftruhe
    fr: enceinte, chambre, chambre d'essai, enceinte no, cabine, enceinte d'essai, chambre no
    es: cámara, cámara de ensayo, cámara no, cabina, armario, cámara de niebla salina
    it: camera, camera di prova, camera n, cabina, camera di nebbia salina, cella
    pl: komora, komora badawcza, komora nr, komora solna, szafa
    nl: kamer, testkamer, kamer nr, kast, testkast, zoutnevelkast, kabinet
    cs: komora, zkušební komora, komora č, solná komora, skříň
"""

TEMPERATURE_C = """
    T, t, θ, ϑ, temp, tmp
    en: temperature, chamber temperature, cabinet temperature, test temperature, temp chamber,
        temperature in chamber, air temperature, temperature of chamber, exposure temperature,
        spray temperature
    de: Temperatur, Kammertemperatur, Prüftemperatur, Temp Kammer, Temperatur in der Kammer,
        Temperatur Kammer, Lufttemperatur, Prüfraumtemperatur, Innentemperatur
    fr: température, température de l'enceinte, température enceinte, température d'essai,
        température de la chambre
    es: temperatura de cámara,
        temperatura, temperatura de la cámara, temperatura cámara, temperatura de ensayo
    it: temperatura, temperatura della camera, temperatura camera, temperatura di prova
    pl: temperatura, temperatura w komorze, temperatura komory, temperatura badania
    nl: temperatuur, kamertemperatuur, temperatuur kamer, testtemperatuur, kasttemperatuur
    cs: teplota, teplota v komoře, teplota komory, zkušební teplota
"""

COLLECTED_ML_H = """
    en: collected, collection rate, fallout, fall-out, spray collected, collected spray,
        fallout rate,
        collected solution, collected volume, spray rate, condensate, collection, mean collection,
        settlement, settling rate, collecting rate, spray collection, deposition rate, salt fallout
    de: Niederschlag, Niederschlagsmenge, Auffangmenge, Sprühmenge, Sammelmenge, Auffangrate,
        aufgefangen, Niederschlagsrate, aufgefangene Menge, Sprührate, Sprühnebelmenge,
        aufgefangene Lösung, Kondensatmenge
    fr: recueil, collecte de brouillard, volume de collecte,
        collecte, taux de collecte, solution recueillie, volume recueilli, recueilli, débit,
        quantité recueillie, vitesse de collecte, retombée, pluviométrie
    es: recogido, recogida, volumen recogido, solución recogida, tasa de recogida, pulverización,
        cantidad recogida, velocidad de recogida
    it: raccolta, raccolto, volume raccolto, soluzione raccolta, velocità di raccolta,
        quantità raccolta, portata di raccolta
    pl: zebrano, opad, szybkość zbierania, zebrany roztwór, ilość zebrana, opad mgły,
        objętość zebrana
    nl: opgevangen, opvang, opvangsnelheid, opgevangen hoeveelheid, neerslag, opvangvolume,
        opgevangen oplossing
    cs: zachyceno, spad, rychlost spadu, zachycený roztok, množství spadu, zachycené množství,
        spad mlhy
"""

PH = """
    pH, pH 25, pH value, pH-Wert, pH at 25 °C, pH at 25, pH 25 °C
    en: pH of solution, pH of collected solution, pH collected, solution pH, acidity, pH reading
    de: pH Wert, pH der Lösung, pH aufgefangene Lösung, pH Niederschlag, pH-Wert der Lösung
    fr: pH de la solution, valeur pH, pH recueilli, pH de la solution recueillie
    es: pH de la solución, valor de pH, valor pH, pH recogido
    it: pH della soluzione, valore pH, valore di pH, pH raccolta
    pl: pH roztworu, wartość pH, odczyn, odczyn pH
    nl: pH van de oplossing, pH-waarde, zuurgraad
    cs: pH roztoku, hodnota pH
"""

SALT_G_L = """
    NaCl, c NaCl, c(NaCl), ρ NaCl, conc
    en: salt, sodium chloride, salt concentration, concentration, salt content, NaCl concentration,
        salinity, salt in solution, concentration of NaCl, salt solution, brine concentration,
        brine strength, concentration of salt
    de: Salz, Natriumchlorid, Salzgehalt, Konzentration, Salzkonzentration, NaCl-Gehalt,
        NaCl-Konzentration, Massenkonzentration, Kochsalz, Kochsalzgehalt, Solekonzentration
    fr: sel, chlorure de sodium, concentration en sel, teneur en sel, salinité,
        concentration NaCl, concentration en NaCl
    es: sal, cloruro de sodio, cloruro sódico, concentración, concentración de sal, salinidad,
        concentración NaCl, concentración de NaCl
    it: sale, cloruro di sodio, concentrazione, concentrazione di sale, salinità,
        concentrazione NaCl, concentrazione di NaCl
    pl: sól, chlorek sodu, stężenie, stężenie soli, zasolenie, stężenie NaCl
    nl: zout, natriumchloride, concentratie, zoutconcentratie, zoutgehalte, NaCl-gehalte
    cs: sůl, chlorid sodný, koncentrace, koncentrace soli, slanost, obsah soli, koncentrace NaCl
"""

BESIDE = """
    RH, ρ, rH
    en: air pressure, pressure, humidity, relative humidity, saturator temperature,
        humidifier temperature, tower temperature, room temperature, hours, hour meter, run hours,
        density, specific gravity, conductivity, tank level, level, collector area, funnel,
        collector, mean, average, sd, std dev, min, max, steel mass loss, mass loss, corrosivity,
        alarm, status, set point, limit, cycle, panels, test
    de: Druck, Luftdruck, Sprühdruck, Feuchte, Luftfeuchte, relative Feuchte, Raumtemperatur,
        Befeuchtertemperatur, Sättigertemperatur, Stunden, Betriebsstunden, Dichte, Leitfähigkeit,
        Füllstand, Trichter, Mittelwert, Standardabweichung, Massenverlust, Korrosivität, Alarm,
        Status, Sollwert, Grenzwert, Zyklus, Prüfung
    fr: pression, pression d'air, humidité, humidité relative, température ambiante, heures,
        densité,
        conductivité, niveau, entonnoir, moyenne, perte de masse, alarme, consigne, cycle, essai
    es: presión, presión de aire, humedad, humedad relativa, temperatura ambiente, horas, densidad,
        conductividad, nivel, embudo, media, pérdida de masa, alarma, consigna, ciclo, ensayo
    it: pressione, pressione aria, umidità, umidità relativa, temperatura ambiente, ore, densità,
        conducibilità, livello, imbuto, media, perdita di massa, allarme, ciclo, prova
    pl: ciśnienie, ciśnienie powietrza, wilgotność, wilgotność względna, temperatura otoczenia,
        godziny, gęstość, przewodność, poziom, lejek, średnia, ubytek masy, alarm, cykl, badanie
    nl: druk, luchtdruk, vochtigheid, relatieve vochtigheid, omgevingstemperatuur, uren, dichtheid,
        geleidbaarheid, niveau, trechter, gemiddelde, massaverlies, alarm, cyclus, proef
    cs: tlak, tlak vzduchu, vlhkost, relativní vlhkost, teplota okolí, hodiny, hustota, vodivost,
        hladina, nálevka, průměr, úbytek hmotnosti, alarm, cyklus, zkouška
"""
