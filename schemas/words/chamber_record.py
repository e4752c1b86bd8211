"""What the columns of records of test chambers are called."""

CHAMBER = """
    en: chamber, cabinet, test chamber, chamber no, cabinet no, test cabinet, salt spray chamber,
        chamber id, which chamber, salt spray cabinet, box, chamber name, fog chamber,
        salt fog chamber, cabinet name, SST cabinet
    de: Kammer, Prüfkammer, Kammer Nr, Prüfschrank, Sprühkammer, Salzsprühkammer, Schrank,
        Klimakammer, Prüfraum, Truhe, Prüftruhe, Nebelkammer, Salznebelkammer, Sprühnebelkammer,
        Prüfkammer Nr, Gerätekammer
    fr: enceinte, chambre, chambre d'essai, enceinte no, cabine, enceinte d'essai, chambre no,
        enceinte à brouillard salin, cabine de brouillard, étuve
    es: cámara, cámara de ensayo, cámara no, cabina, armario, cámara de niebla salina,
        cámara salina, cabina salina, equipo de niebla
    it: camera, camera di prova, camera n, cabina, camera di nebbia salina, cella, cabina n,
        camera salina, nebbia camera
    pl: komora, komora badawcza, komora nr, komora solna, szafa, komora solna nr, nr komory,
        komora mgły
    nl: kamer, testkamer, kamer nr, kast, testkast, zoutnevelkast, kabinet, nevelkast, zoutkast,
        kast no, nr kast
    cs: komora, zkušební komora, komora č, solná komora, skříň, číslo komory, komora mlhy, skříň č
"""

TEMPERATURE_C = """
    cab T, chamb T, T avg, T mean, T box, temp avg, mean temp, T cab avg, T in cab, avg T, T act, temp act
    T ch, T cab, T cham, T chamber, T cabinet, T Kammer, T kast, T komory, T enceinte, T cámara, T camera
    T, t, θ, ϑ, temp, tmp
    cab {degC}, cabinet {degC}, chamber {degC}, chamb {degC}, box {degC}, Kammer {degC}, Prüfraum {degC},
    enceinte {degC}, chambre {degC}, cámara {degC}, camera {degC}, komora {degC}, kast {degC}, kamer {degC}
    en: temperature, chamber temperature, cabinet temperature, test temperature, temp chamber,
        temperature in chamber, air temperature, temperature of chamber, exposure temperature,
        spray temperature, temp in cabinet, temp cabinet, temperature in cabinet, cabinet temp,
        chamber temp
    de: Temperatur, Kammertemperatur, Prüftemperatur, Temp Kammer, Temperatur in der Kammer,
        Temperatur Kammer, Lufttemperatur, Prüfraumtemperatur, Innentemperatur, Kammertemp,
        Temp. in Kammer, Temperatur im Schrank, Prüfraumtemp
    fr: température, température de l'enceinte, température enceinte, température d'essai,
        température de la chambre, temp. enceinte, température cabine, température dans l'enceinte
    es: temperatura de cámara, temperatura, temperatura de la cámara, temperatura cámara,
        temperatura de ensayo, temp. cámara, temperatura en la cámara, temperatura cabina
    it: temperatura, temperatura della camera, temperatura camera, temperatura di prova,
        temp. camera, temperatura in camera, temperatura cabina
    pl: temperatura, temperatura w komorze, temperatura komory, temperatura badania, temp. komory,
        temp. w komorze, temperatura w szafie
    nl: temperatuur, kamertemperatuur, temperatuur kamer, testtemperatuur, kasttemperatuur, kasttemp,
        temp. kast, temperatuur in de kast, temperatuur kast, temp kamer
    cs: teplota, teplota v komoře, teplota komory, zkušební teplota, tepl. komory,
        teplota ve skříni, teplota v kabině
"""

COLLECTED_ML_H = """
    fall, fall rate, falls, coll rate, coll vol
    en: coll, collected, collection rate, fallout, fall-out, spray collected, collected spray,
        fallout rate, collected solution, collected volume, spray rate, condensate, collection,
        mean collection, settlement, settling rate, collecting rate, spray collection,
        deposition rate, salt fallout, collected per hour, mean collected, collect, catch,
        spray catch, fog collected, fog collection, fog collection rate, condensate collected,
        fog rate
    de: Niederschlag, Niederschlagsmenge, Auffangmenge, Sprühmenge, Sammelmenge, Auffangrate,
        aufgefangen, Niederschlagsrate, aufgefangene Menge, Sprührate, Sprühnebelmenge,
        aufgefangene Lösung, Kondensatmenge, Niederschlag Mittel, Sprühnebelniederschlag,
        Nebelniederschlag, Sammelrate, Auffang, Niederschl, aufgefangenes Kondensat
    fr: recueil, collecte de brouillard, volume de collecte, collecte, taux de collecte,
        solution recueillie, volume recueilli, recueilli, débit, quantité recueillie,
        vitesse de collecte, retombée, pluviométrie, volume recueilli par heure,
        collecte brouillard, débit de collecte, quantité collectée, récupération, recueil moyen
    es: recogido, recogida, volumen recogido, solución recogida, tasa de recogida, pulverización,
        cantidad recogida, velocidad de recogida, recogida media, volumen recogido por hora,
        condensado, captación, recolección, caudal recogido
    it: raccolta, raccolto, volume raccolto, soluzione raccolta, velocità di raccolta,
        quantità raccolta, portata di raccolta, raccolta media, condensa raccolta,
        quantità di raccolta, caduta, deposizione
    pl: zebrano, opad, szybkość zbierania, zebrany roztwór, ilość zebrana, opad mgły,
        objętość zebrana, zebrana ilość, opad solanki, opad soli, zebrana objętość, zbieranie,
        szybkość opadu
    nl: opgevangen, opvang, opvangsnelheid, opgevangen hoeveelheid, neerslag, opvangvolume,
        opgevangen oplossing, opvang gemiddeld, opvang per uur, nevelopvang,
        opgevangen volume, opvanghoeveelheid, sproeiopvang
    cs: zachyceno, spad, rychlost spadu, zachycený roztok, množství spadu, zachycené množství,
        spad mlhy, zachycené množství roztoku, sběr, sběr mlhy, množství zachycené mlhy,
        zachyceno za hodinu, objem spadu
"""

PH = """
    pH opvang, pH opad, pH sběr, pH Auffang
    pH, pH 25, pH value, pH-Wert, pH at 25 °C, pH at 25, pH 25 °C
    fallout pH, collect pH, collected pH, fog pH, catch pH, spray pH, brine pH, solution pH, coll pH
    en: pH of solution, pH of collected solution, pH collected, solution pH, pH reading,
        pH of collect, pH of spray, pH of the collected solution, pH of condensate, pH at 25,
        pH sample, pH spray
    de: pH Wert, pH der Lösung, pH aufgefangene Lösung, pH Niederschlag, pH-Wert der Lösung,
        pH (25 °C), pH bei 25 °C, pH bei 25, pH bei 23 °C, pH des Niederschlags, pH Auffanglösung,
        pH der Auffanglösung, pH Sole, pH Sammellösung, pH-Wert bei 25 °C
    fr: pH de la solution, valeur pH, pH recueilli, pH de la solution recueillie, pH à 25 °C,
        pH à 25, pH collecté, pH de la collecte, pH solution, pH du recueil
    es: pH de la solución, valor de pH, valor pH, pH recogido, pH a 25 °C, pH a 25,
        pH de la recogida, pH solución, pH recogida, pH condensado
    it: pH della soluzione, valore pH, valore di pH, pH raccolta, pH a 25 °C, pH a 25,
        pH della raccolta, pH soluzione, pH raccolto
    pl: pH roztworu, wartość pH, odczyn, odczyn pH, pH w 25 °C, pH przy 25 °C,
        pH zebranego roztworu, pH opadu, pH zebrane, pH solanki
    nl: pH van de oplossing, pH-waarde, zuurgraad, pH bij 25 °C, pH bij 25, pH opgevangen,
        pH opgevangen oplossing, pH van de opvang, pH oplossing, pH opvang
    cs: pH roztoku, hodnota pH, pH při 25 °C, pH při 25, pH zachyceného roztoku, pH spadu, pH sběru,
        pH zachyceno
"""

SALT_G_L = """
    NaCl opvang, NaCl conc, NaCl (collected)
    NaCl, c NaCl, c(NaCl), ρ NaCl, conc
    en: salt, sodium chloride, salt concentration, concentration, salt content, NaCl concentration,
        salinity, salt in solution, concentration of NaCl, salt solution, brine concentration,
        brine strength, concentration of salt, NaCl of collected solution, salt collected,
        NaCl content, salt conc, salt level
    de: Salz, Natriumchlorid, Salzgehalt, Konzentration, Salzkonzentration, NaCl-Gehalt,
        NaCl-Konzentration, Massenkonzentration, Kochsalz, Kochsalzgehalt, Solekonzentration,
        NaCl Auffang, NaCl Konz, Salzkonz
    fr: sel, chlorure de sodium, concentration en sel, teneur en sel, salinité, concentration NaCl,
        concentration en NaCl, NaCl recueilli, conc NaCl, teneur NaCl, teneur en NaCl, conc. en sel
    es: sal, cloruro de sodio, cloruro sódico, concentración, concentración de sal, salinidad,
        concentración NaCl, concentración de NaCl, NaCl recogido, conc NaCl, contenido de NaCl,
        contenido en sal, conc. de sal
    it: sale, cloruro di sodio, concentrazione, concentrazione di sale, salinità,
        concentrazione NaCl, concentrazione di NaCl, NaCl raccolto, conc NaCl, contenuto di NaCl,
        contenuto di sale, conc. sale
    pl: sól, chlorek sodu, stężenie, stężenie soli, zasolenie, stężenie NaCl, NaCl zebrane,
        zawartość NaCl, zawartość soli, stęż. NaCl
    nl: zout, natriumchloride, concentratie, zoutconcentratie, zoutgehalte, NaCl-gehalte,
        NaCl opgevangen, zout opvang, zoutconc, NaCl-concentratie, conc. zout
    cs: sůl, chlorid sodný, koncentrace, koncentrace soli, slanost, obsah soli, koncentrace NaCl,
        NaCl zachyceno, obsah NaCl, konc. NaCl, konc. soli
"""

BESIDE = """
    sat {degC}, saturator {degC}, tower {degC}, tow {degC}, hum {degC}, humidifier {degC}, room {degC},
    lab {degC}, ambient {degC}, amb {degC}, tank {degC}, brine {degC}, Sättiger {degC}, Turm {degC}, Sole {degC},
    Befeuchter {degC}, saturateur {degC}, tour {degC}, humidificateur {degC}, saturador {degC}, torre {degC},
    saturatore {degC}, nawilżacz {degC}, nasycalnik {degC}, verzadiger {degC}, toren {degC}, zvlhčovač {degC},
    air, tank, tank level, tower T, hum T, sat T, humid T, T tow, lvl, LUX, door, cycle no
    RH, ρ, rH, T hum, T sat, T humidifier, T saturator, T tower, P air, cond, alm, P, p
    en: air pressure, pressure, humidity, relative humidity, saturator temperature,
        humidifier temperature, tower temperature, room temperature, hours, hour meter, run hours,
        density, specific gravity, conductivity, tank level, level, collector area, funnel,
        collector, mean, average, sd, std dev, min, max, steel mass loss, mass loss, corrosivity,
        alarm, status, set point, limit, cycle, panels, test, spray pressure, saturator,
        saturator tower, compressed air, solution level, refill, refilled, operating hours, tank,
        nozzle
    de: Druck, Luftdruck, Sprühdruck, Feuchte, Luftfeuchte, relative Feuchte, Raumtemperatur,
        Befeuchtertemperatur, Sättigertemperatur, Stunden, Betriebsstunden, Dichte, Leitfähigkeit,
        Füllstand, Trichter, Mittelwert, Standardabweichung, Massenverlust, Korrosivität, Alarm,
        Status, Sollwert, Grenzwert, Zyklus, Prüfung, Sprühluftdruck, Druckluft, Wasserstand,
        Betriebsstundenzähler, Sättiger, Turmtemperatur, Soletank, Dichte Sole
    fr: pression, pression d'air, humidité, humidité relative, température ambiante, heures,
        densité, conductivité, niveau, entonnoir, moyenne, perte de masse, alarme, consigne, cycle,
        essai, pression de pulvérisation, saturateur, température saturateur, compteur horaire,
        niveau de solution
    es: presión, presión de aire, humedad, humedad relativa, temperatura ambiente, horas, densidad,
        conductividad, nivel, embudo, media, pérdida de masa, alarma, consigna, ciclo, ensayo,
        presión de pulverización, saturador, temperatura saturador, horas de marcha,
        nivel de solución
    it: pressione, pressione aria, umidità, umidità relativa, temperatura ambiente, ore, densità,
        conducibilità, livello, imbuto, media, perdita di massa, allarme, ciclo, prova,
        pressione di spruzzo, saturatore, temperatura saturatore, ore di esercizio
    pl: ciśnienie, ciśnienie powietrza, wilgotność, wilgotność względna, temperatura otoczenia,
        godziny, gęstość, przewodność, poziom, lejek, średnia, ubytek masy, alarm, cykl, badanie,
        ciśnienie rozpylania, nawilżacz, temperatura nawilżacza, licznik godzin, poziom roztworu
    nl: druk, luchtdruk, vochtigheid, relatieve vochtigheid, omgevingstemperatuur, uren, dichtheid,
        geleidbaarheid, niveau, trechter, gemiddelde, massaverlies, alarm, cyclus, proef, kastdruk,
        persluchtdruk, soortelijk gewicht, verzadiger, verzadigertemperatuur, bevochtiger,
        waterniveau, handtekening, sproeidruk, uurteller
    cs: tlak, tlak vzduchu, vlhkost, relativní vlhkost, teplota okolí, hodiny, hustota, vodivost,
        hladina, nálevka, průměr, úbytek hmotnosti, alarm, cyklus, zkouška, tlak rozprašování,
        zvlhčovač, teplota zvlhčovače, provozní hodiny, hladina roztoku
"""
