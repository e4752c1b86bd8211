"""What the columns of pull-off tests are called."""

from tiecoat.contract.notations.failure_notation import COHESIVE, INTERFACE

DETERMINATION = """
    n
    en: determination, determination no, pull, pull no, test, test no, dolly, dolly no, no, number,
        replicate, repeat, run, measurement, measurement no, reading, stud no, stud, test dolly,
        pull number, spot, position, index, test number, trial, sample dolly, pull off no,
        test dolly no, dolly id, stud id, dolly number, det, det no
    de: Einzelwert, Bestimmung, Bestimmung Nr, Abzug, Abzug Nr, Stempel, Stempel Nr, Nr, Nummer,
        Versuch, Versuch Nr, Messung, Messung Nr, Einzelmessung, Prüfung, lfd Nr, Wiederholung,
        Messstelle, Zug, Zug Nr, Test Nr, Bestimmungsnr, Abriss Nr, Abriss, Zugversuch,
        Abreißversuch Nr, Einzelversuch
    fr: détermination, essai, essai no, plot, plot no, numéro, no, mesure, mesure no, arrachement,
        traction, répétition, pion, pion no, n° plot, n° d'essai, essai n°, détermination no,
        n° du plot, arrachement no, traction no, pastille no, n° pastille, n° de pastille
    es: determinación, ensayo, ensayo no, sufridera, sufridera no, número, núm, medida, medición,
        tracción, réplica, repetición, dolly no, prueba, n.º de ensayo, n.º sufridera,
        determinación no, determinación núm, arranque, arranque no, n.º determinación, tracción no
    it: determinazione, prova, prova n, pistoncino, tassello, tassello n, numero, n, misura,
        strappo, trazione, replica, ripetizione, n. prova, n. pistoncino, determinazione n,
        strappo n, n. tassello, trazione n
    pl: oznaczenie, pomiar, pomiar nr, stempel, stempel nr, krążek, nr, numer, próba, próba nr,
        odrywanie, powtórzenie, nr stempla, nr próby, nr oznaczenia, oznaczenie nr, nr krążka,
        nr odrywania, zerwanie nr, oderwanie nr, numer stempla
    nl: bepaling, bepaling nr, trek, trekproef, dolly nr, stempel nr, nummer, nr, meting, meting nr,
        proef, herhaling, trek nr, trekproef nr, nr dolly, nr trek, bepaling no, dolly nummer
    cs: stanovení, odtrh, odtrh č, terč, terč č, terčík, terčík č, číslo, č, měření, měření č,
        zkouška, opakování, č. terče, č. odtrhu, odtrh číslo, zkouška č, stanovení č, č. stanovení,
        č. terčíku
    hu: mérés, mérés száma, húzás
"""

DOLLY_DIAMETER_MM = """
    Ø dolly, Ø stud, Ø Stempel, Ø plot, Ø terče, Ø terč, Ø stempla, Ø pistoncino, Ø sufridera, d stempla
    stud {mm}, disc {mm}, cylinder {mm}, fixture {mm}, Stempel {mm}, Prüfstempel {mm}, pion {mm}, plot {mm},
    disco {mm}, tassello {mm}, carrello {mm}, krążek {mm}, grzybek {mm}, stempel {mm}, terč {mm}, terčík {mm},
    válec {mm}, dolly {mm}, test dolly {mm}
    d, D, Ø, dia, diam, D dolly, d dolly, ø dolly
    en: test dollies, dollies used, dolly diam., test studs,
        dollies, studs, test cylinders,
        dolly, dolly diameter, diameter, dolly size, diameter of dolly, test cylinder diameter,
        test cylinder, stud diameter, cylinder diameter, dolly dia, dolly diam, disc diameter,
        size of dolly, dolly ø, dolly d, dia of dolly, stud dia, stud size, test dolly diameter,
        loading fixture diameter, fixture diameter
    de: Prüfstempeln, Dolly Ø, Dolly, Dollys, Prüfkörper, Stempel-Ø,
        Stempeln,
        Stempel, Stempeldurchmesser, Durchmesser, Prüfstempel, Prüfstempeldurchmesser, Stempelgröße,
        Zylinderdurchmesser, Prüfzylinder, Stempel Ø, Durchmesser des Stempels, Durchm,
        Stempel-Durchmesser, Stempel d, Prüfstempel Ø, Stempeldurchm, Durchmesser Stempel,
        Durchmesser Prüfstempel, Stempeldm
    fr: plots d'essai, cylindres,
        plots, pions, pastilles, pastille, diamètre de la pastille, diamètre pastille, Ø pastille,
        plot, diamètre, diamètre du plot, diamètre plot, diam plot, diamètre du pion, diamètre pion,
        cylindre d'essai, diamètre du cylindre, taille du plot, Ø du plot, diam. du plot, plot Ø,
        diamètre de plot, pion Ø
    es: dolly, dollies, estampas, estampa, tacos, taco, probetas cilíndricas,
        sufrideras,
        sufridera, diámetro, diámetro de la sufridera, diámetro sufridera, diámetro del dolly, diám,
        cilindro de ensayo, diámetro del cilindro, diámetro de sufridera, diám. sufridera,
        diámetro del cilindro de ensayo, dolly Ø, diámetro dolly
    it: piolini, piolino, piolino Ø, tassello Ø, pistoncino Ø, piolini Ø, diametro piolino, diametro dei piolini, diametro del piolino,
        dolly, dollies, pastiglie, pastiglia, cilindretti, cilindretto,
        carrelli, pistoncini, tasselli, diametro del carrello, diametro dei carrelli,
        pistoncino, diametro, diametro del pistoncino, diametro pistoncino, diametro del tassello,
        diametro tassello, diam, cilindro di prova, diametro cilindro, diam. pistoncino,
        diametro di pistoncino, Ø del pistoncino, diametro dolly, diam. tassello
    pl: stempelki, stempelki Ø, krążek Ø, stempelek, stempli, trzpienie, trzpień,
        stemple, krążki, grzybki,
        stempel, średnica, średnica stempla, średnica krążka, śr stempla, średnica grzybka,
        cylinder pomiarowy, średnica cylindra, średnica stempla pomiarowego, średnica dolly,
        stempel Ø, śred stempla
    nl: dolly's, dollies, dolly, proefstempels,
        stempels,
        diameter, dollydiameter, diameter dolly, stempel, stempeldiameter, diameter stempel,
        proefcilinder, cilinderdiameter, diam. dolly, Ø stempel, dolly Ø, diameter van de dolly,
        doorsnede dolly, doorsnede
    cs: terče, terče Ø, terčů, terčíků, panenky, tělíska, zkušební tělíska,
        terčíky, válečky,
        terč, průměr, průměr terče, průměr terčíku, terčík, zkušební váleček, průměr válečku,
        prům. terče, Ø terčíku, průměr zkušebního tělíska, průměr dolly, terč Ø
    hu: bélyegző átmérője, bélyegzőátmérő, tuskó átmérője, tuskóátmérő
    pt: pastilha, diâmetro da pastilha, diâmetro do dolly
"""

DOLLY_AREA_MM2 = """
    A, A dolly, S dolly
    en: area, dolly area, area of dolly, test area, stud area, face area, pulled area, bonded area
    de: Fläche, Stempelfläche, Prüffläche, Fläche des Stempels, Klebefläche
    fr: aire, surface, surface du plot, aire du plot, surface collée, section
    es: área, superficie, área de la sufridera, superficie pegada, sección
    it: area, superficie, area del pistoncino, area del tassello, superficie incollata, sezione
    pl: powierzchnia, pole, powierzchnia stempla, pole powierzchni, powierzchnia klejenia
    nl: oppervlak, oppervlakte, dollyoppervlak, stempeloppervlak, lijmvlak
    cs: plocha, plocha terče, plocha terčíku, lepená plocha
"""

FORCE_N = """
    pk, PK, F, F max, Fmax, F break, F b, Fu, P, P max
    en: peak, peak value, peak reading,
        force, load, pull force, pulling force, max force, maximum force, peak force,
        breaking force, force at break, failure load, breaking load, max load, maximum load,
        peak load, tensile force, ultimate load, force max, load at failure, force at failure,
        pull-off force, fracture force, break load, rupture force, load at break,
        breaking load (max)
    de: Spitze, Spitzenwert, Höchstwert,
        Abrisskraft, Abrisslast, Kraft bei Bruch, Abreißlast, Abzugslast, Zuglast, Kraft, Last,
        Abzugskraft, Abreißkraft, Haftkraft, Zugkraft, Bruchkraft, Höchstkraft, Maximalkraft,
        Kraft beim Bruch, max Kraft, Kraft max, Bruchlast, Abreisskraft, Höchstlast,
        Abrisskraft max, Kraft beim Abriss, Abreißkraft max, Maximalkraft beim Abriss
    fr: pic, valeur de crête, valeur de pic,
        force à la rupture, effort de rupture, effort maximal, charge à la rupture, force, charge,
        force maximale, force de rupture, charge de rupture, force max, force d'arrachement, effort,
        effort de traction, charge maximale, force maxi, charge max, force mesurée,
        charge de rupture max
    es: pico, valor pico, valor de pico,
        fuerza a la rotura, fuerza en la rotura, esfuerzo, carga a la rotura, fuerza, carga,
        fuerza máxima, fuerza de rotura, carga de rotura, fuerza de arranque, carga máxima,
        fuerza de tracción, fuerza máx, fuerza máxima de rotura, carga máx, fuerza de arrancamiento
    it: picco, valore di picco,
        forza a rottura, carico a rottura, forza di trazione, forza allo strappo, forza, carico,
        forza massima, forza di rottura, carico di rottura, forza di strappo, carico massimo,
        forza max, forza massima di strappo, carico max, forza misurata
    pl: szczyt, wartość szczytowa,
        siła przy zerwaniu, siła przy oderwaniu, siła oderwania, obciążenie niszczące, siła,
        obciążenie, siła maksymalna, siła zrywająca, siła odrywająca, siła zerwania, siła niszcząca,
        siła maks, siła max, siła odrywania, siła przy odrywaniu
    nl: piek, piekwaarde,
        kracht bij breuk, afbreuklast, trekbelasting, losbreekkracht, kracht, belasting,
        maximale kracht, breukkracht, trekkracht, afscheurkracht, breukbelasting, afbreekkracht,
        max kracht, breuklast, kracht max, maximale trekkracht, kracht bij afbreken
    cs: špička, špičková hodnota,
        síla při odtržení, síla při odtrhu, síla při lomu, zatížení při porušení, síla, zatížení,
        maximální síla, síla při porušení, odtrhová síla, lomová síla, max síla, síla odtrhu,
        síla max, odtržná síla, síla při zkoušce
    hu: erő, húzóerő, leszakítóerő
    pt: força, força de rotura, força máxima, força de arrancamento
"""

STRENGTH_MPA = """
    pk, PK, σ, sigma, σ max, R, σ b, f h
    en: peak, peak value, peak reading, peak stress, peak strength, burst pressure, bursting pressure,
        pressure at break, breaking pressure,
        strength, pull-off strength, pull off strength, adhesion, adhesion strength, bond strength,
        adhesive strength, tensile strength, stress, max stress, pull-off stress, breaking stress,
        stress at break, breaking strength, pull-off adhesion, adhesion value, pull-off value,
        fracture strength, pull-off, result, adh, adh strength, pull-off result, tensile adhesion,
        tensile adhesion strength, bond, stress at failure, failure stress,
        pull-off tensile strength, POT
    de: Spitze, Spitzenwert, Höchstwert,
        Abrissspannung, Abrissfestigkeit, Abrisswert, Abreisswert, Abreisspannung, Haftfestigkeit,
        Abreißfestigkeit, Haftzugfestigkeit, Abreissfestigkeit, Haftung, Zugfestigkeit,
        Haftspannung, Bruchspannung, Spannung, Festigkeit, Abzugsfestigkeit, Haftzugspannung,
        Haftwert, Bruchfestigkeit, Abreißspannung, Abzugswert, Abzugsfestigk, Haftabzugswert,
        Haftabzug, Haftzug, Abrissspg, Haftungswert, Zugspannung, Haftzugwert, HZF
    fr: pic, valeur de crête, valeur de pic,
        adhérence, résistance, contrainte, contrainte de rupture, résistance à l'arrachement,
        contrainte d'adhérence, force d'adhérence, résistance à la traction, adhérence par traction,
        contrainte maximale, adhérence mesurée, contrainte à la rupture, résistance à la rupture,
        contrainte d'arrachement, tension de rupture, valeur d'adhérence
    es: pico, valor pico, valor de pico,
        adherencia, resistencia, adhesión, tensión, tensión de rotura, resistencia a la tracción,
        tensión de adherencia, resistencia al arranque, tensión máxima, resistencia de adherencia,
        adherencia por tracción, resistencia por tracción, tensión a la rotura, adherencia medida,
        tensión de arranque, adhesión por tracción
    it: picco, valore di picco,
        adesione, resistenza, aderenza, tensione, tensione di rottura, resistenza allo strappo,
        forza di adesione, resistenza a trazione, tensione massima, carico unitario,
        tensione a rottura, adesione per trazione, aderenza a trazione,
        resistenza a rottura, tensione di strappo, adesione misurata
    pl: szczyt, wartość szczytowa,
        przyczepność, wytrzymałość, adhezja, naprężenie, naprężenie niszczące,
        wytrzymałość na odrywanie, przyczepność przy odrywaniu, naprężenie zrywające,
        naprężenie odrywające, przyczepność odrywowa, wytrzymałość na oderwanie,
        naprężenie przy zerwaniu, wynik odrywania, przycz
    nl: piek, piekwaarde,
        hechting, hechtsterkte, sterkte, spanning, hechtspanning, trekhechting, treksterkte,
        breukspanning, afscheursterkte, hechtkracht per oppervlak, hechtwaarde, trekspanning,
        spanning bij breuk, hechting door trek, lostreksterkte, losbreekspanning, afbreekspanning
    cs: špička, špičková hodnota,
        přilnavost, pevnost, adheze, napětí, odtrhová pevnost, pevnost v odtrhu, pevnost v tahu,
        napětí při porušení, odtrhové napětí, přilnavost odtrhem, napětí při odtržení,
        přilnavost odtrhovou zkouškou, pevnost odtrhu, odtržná pevnost, odtrhová přilnavost,
        napětí při odtrhu, přiln
    hu: tapadószilárdság, tapadás, tapadási szilárdság, leszakító szilárdság, húzószilárdság
    pt: tensão de rotura, tensão de arrancamento, aderência, resistência à tração, tensão
"""

FAILURE = """
    attribute, failure attribute, Attribut, attribut, atributo, attributo, atrybut, attribuut,
    fail, brk, breuk, site, where, wo, où, dónde, dove, gdzie, waar, kde
    en: break pattern, failure mode iso 4624, fracture mode, plane of failure, fracture plane,
        kind of failure, failure, failure mode, failure type, type of failure, nature of failure,
        mode of failure, fracture, fracture pattern, fracture type, mode of fracture,
        failure pattern, break, break type, locus of failure, location of failure, failure site,
        failure location, adhesive cohesive, fracture appearance, failure iso 4624, appearance,
        locus, failure locus, break location, where failed, failed in, failed at, mode,
        failure area, percent failure, failure description, adhesion failure, break at,
        nature of break, nature of fracture, type of break
    de: Abrissbild, Abreißbild, Bruchtyp, Art des Bruches, Versagensbild ISO 4624, Bruchebene,
        Bruchfläche, Bruchbeschreibung, Versagensform, Bruchbild, Bruch, Bruchart, Versagen,
        Versagensart, Versagensbild, Trennfall, Trennbild, Bruchstelle, Bruchort, Bruchflächen,
        Bruchverhalten, Art des Bruchs, Versagensort, Bruchbild ISO 4624, Bruchform, Bruchcharakter,
        Abrissart, Abrissform, Bruchanteile, Trennebene, Bruch nach ISO 4624, Art des Abrisses,
        Abrisstyp, Abriss bei, Versagen bei
    fr: part de rupture, répartition de la rupture, parts de rupture,
        mode de défaillance, type de défaillance, plan de rupture, lieu de rupture, défaillance,
        rupture, type de rupture, mode de rupture, faciès de rupture, nature de la rupture, faciès,
        aspect de la rupture, localisation de la rupture, nature de rupture, localisation rupture,
        mode de rupture ISO 4624, type rupture, plan de la rupture, aspect rupture,
        rupture (ISO 4624), site de rupture
    es: cuadro de rotura, cuadro de fractura, aspecto de la rotura, porcentajes de rotura,
        tipo de fractura, modo de fractura, fractura, plano de rotura, lugar de rotura, fallo,
        rotura, tipo de fallo, tipo de rotura, modo de fallo, modo de rotura, naturaleza del fallo,
        naturaleza de la rotura, aspecto de la rotura, falla, naturaleza de rotura,
        modo de la rotura, rotura (ISO 4624), localización de la rotura, patrón de rotura,
        forma de rotura, tipo de la rotura, dónde rompe
    it: quadro di rottura, quadro rottura, aspetto della frattura, percentuali di rottura,
        frattura, tipo di frattura, modo di cedimento, piano di rottura, punto di rottura, rottura,
        tipo di rottura, modo di rottura, natura della rottura, cedimento, tipo di cedimento,
        aspetto della rottura, distacco, tipo di distacco, natura rottura, tipo rottura,
        modalità di rottura, rottura (ISO 4624), aspetto rottura, sede della rottura,
        localizzazione della rottura, modo rottura
    pl: obraz zniszczenia, udział zniszczenia, udziały zniszczenia, obraz przełomu,
        obraz zerwania, charakter zerwania, miejsce zerwania, miejsce zniszczenia,
        charakter przełomu, zniszczenie, rodzaj zniszczenia, charakter zniszczenia,
        obraz zniszczenia, przełom, rodzaj przełomu, zerwanie, rodzaj zerwania, typ zniszczenia,
        obraz przełomu, typ zerwania, charakter oderwania, rodzaj oderwania, zniszczenie (ISO 4624),
        obraz oderwania, miejsce oderwania, sposób zniszczenia
    nl: breukbeeld, breukaandeel, aandeel breuk,
        wijze van breuk, breukwijze, breukvorm, plaats van de breuk, bezwijkmechanisme,
        breukpatroon, breuk, breukbeeld, breuktype, soort breuk, breukvlak, bezwijken, bezwijkvorm,
        aard van de breuk, faalwijze, breuk (ISO 4624), type breuk, breukplaats, plaats breuk,
        breukoppervlak, breukaard, aard breuk
    cs: podíl lomu, podíly lomu, obraz lomu, lomový obraz, podíl porušení,
        druh lomu, vzhled lomu, popis lomu, lomový obraz, místo lomu, druh odtrhu, typ odtrhu,
        porušení, typ porušení, druh porušení, charakter porušení, lom, typ lomu, charakter lomu,
        obraz porušení, místo porušení, způsob porušení, lom (ISO 4624), místo odtrhu,
        charakter odtrhu, vzhled odtrhu, obraz lomu, obraz odtrhu, typ poruchy, porucha,
        způsob odtržení
    hu: törés, törés helye, töréskép, szakadás, szakadás helye
    pt: tipo de rotura, rotura, modo de rotura, fratura, natureza da rotura
"""

BESIDE = """
    Tmp, Temp, Batt, Bat, Bat V, Batt V, V bat, U bat
    v, t
    en: rate, stress rate, rate of stress, loading rate, load rate, rate of loading, pull rate,
        pulling rate, speed, crosshead speed, time, time to break, time to failure, test duration,
        duration, glue, glue type, adhesive used, cure, cure time, curing time of adhesive,
        film thickness, thickness, DFT, substrate, substrate thickness, coat system, coating, cut,
        cut around, scored, scoring, temperature, humidity, relative humidity, mean, average, sd,
        std dev, standard deviation, cv, min, max, median, limit, requirement, pass, pass fail,
        valid, photo, picture, extension, displacement, test method, uncertainty, ok, accepted,
        comments on glue, machine rate
    de: Geschwindigkeit, Abzugsgeschwindigkeit, Spannungszunahme, Belastungsgeschwindigkeit,
        Zuggeschwindigkeit, Kraftanstieg, Zeit, Zeit bis Bruch, Prüfdauer, Dauer, Kleber, Klebstoff,
        Klebertyp, Aushärtezeit Kleber, Schichtdicke, Trockenschichtdicke, Untergrund, Substrat,
        Beschichtung, Beschichtungssystem, eingeschnitten, freigeschnitten, Einschnitt, Temperatur,
        Luftfeuchte, Mittelwert, Standardabweichung, Variationskoeffizient, Grenzwert, Anforderung,
        bestanden, gültig, Foto, Bild, Weg, Dehnung, Messunsicherheit, Kraftrate, Ok, Klebercharge
    fr: vitesse, vitesse de traction, vitesse de mise en charge, temps, temps de rupture, durée,
        colle, type de colle, épaisseur, support, système, revêtement, incision, température,
        humidité, moyenne, écart-type, exigence, conforme, photo, déplacement, incertitude, cadence,
        validité
    es: velocidad, velocidad de tracción, velocidad de carga, tiempo, tiempo de rotura, duración,
        pegamento, tipo de adhesivo, espesor, sustrato, sistema, recubrimiento, corte, temperatura,
        humedad, media, desviación estándar, requisito, conforme, foto, desplazamiento,
        incertidumbre, validez, ritmo de carga
    it: velocità, velocità di trazione, velocità di carico, tempo, tempo di rottura, durata, colla,
        tipo di adesivo, spessore, supporto, sistema, rivestimento, incisione, temperatura, umidità,
        media, deviazione standard, requisito, conforme, foto, spostamento, incertezza, validità
    pl: szybkość, szybkość narastania naprężenia, prędkość, czas, czas do zerwania, klej,
        rodzaj kleju, grubość, podłoże, system, powłoka, nacięcie, temperatura, wilgotność, średnia,
        odchylenie standardowe, wymaganie, zdjęcie, przemieszczenie, niepewność, ważność, uznany
    nl: snelheid, treksnelheid, belastingsnelheid, tijd, tijd tot breuk, duur, lijm, lijmtype,
        laagdikte, ondergrond, systeem, coating, insnijding, temperatuur, luchtvochtigheid,
        gemiddelde, standaardafwijking, eis, foto, verplaatsing, onzekerheid, geldig, geldigheid
    cs: rychlost, rychlost zatěžování, čas, čas do porušení, doba, lepidlo, typ lepidla, tloušťka,
        podklad, systém, povlak, proříznutí, teplota, vlhkost, průměrná hodnota,
        směrodatná odchylka, požadavek, fotografie, posun, nejistota, platný, platnost
"""

PULLS = """
    #
    en: run #, trial #, reading #, replicate #, stud #, specimen pull #,
        pull #, dolly #, test #, determination #, strength #, pull-off #, measurement #, value #
    de: Bestimmung #, Durchgang #, Prüfung #, Einzelmessung #, Abriss #, Zug #,
        Abzug #, Stempel #, Versuch #, Einzelwert #, Messung #, Wert #
    fr: détermination #, arrachement #, traction #, pion #,
        essai #, plot #, mesure #, valeur #
    es: determinación #, medición #, prueba #, arranque #, tracción #,
        ensayo #, sufridera #, medida #, valor #
    it: determinazione #, misurazione #, strappo #, trazione #, pistoncino #,
        prova #, misura #, valore #
    pl: oznaczenie #, badanie #, odczyt #, odrywanie #, krążek #,
        próba #, stempel #, pomiar #, wartość #
    nl: bepaling #, proef #, trekproef #, stempel #,
        trek #, dolly #, meting #, waarde #
    cs: stanovení #, zkouška #, pokus #, terčík #,
        odtrh #, terč #, měření #, hodnota #
"""

PLACES = (
    *("A", "A/B", "B", "B/C", "C", "C/D", "D", "-/Y", "D/Y", "C/Y", "B/Y", "Y", "Y/Z"),
    *(COHESIVE, INTERFACE),
)

_COHESIVE = (
    *("cohesive", "cohesion", "coh", "kohäsiv", "Kohäsion", "Kohäsionsbruch", "koh", "cohésif"),
    *("cohésive", "cohésion", "cohesivo", "cohesiva", "cohesión", "coesivo", "coesiva", "coesione"),
    *("kohezyjne", "kohezyjny", "kohezja", "cohesief", "cohesie", "kohezní", "koheze"),
)
_ADHESIVE = (  # adhesion alone is what is measured
    *("adhesive", "adhesive failure", "adhesion failure", "adhäsiv", "Adhäsionsbruch"),
    *("adhésive", "adhésif", "rupture adhésive", "adhesiva", "rotura adhesiva", "adesiva"),
    *("rottura adesiva", "adhezyjne", "adhezyjny", "adhesief", "adhezní", "adhezní lom"),
)
_SUBSTRATE = (
    *("substrate", "steel", "Untergrund", "Substrat", "Stahl", "support", "acier", "subjectile"),
    *("sustrato", "acero", "supporto", "acciaio", "podłoże", "stal", "ondergrond", "staal"),
    *("podklad", "ocel"),
)
_COATS = {  # of a letter
    letter: (
        *(f"coat {n}", f"layer {n}", f"Schicht {n}", f"{n}. Schicht", f"Lage {n}", f"couche {n}"),
        *(f"capa {n}", f"{n}ª capa", f"mano {n}", f"strato {n}", f"warstwa {n}", f"powłoka {n}"),
        *(f"laag {n}", f"vrstva {n}", f"{n}. vrstva", f"nátěr {n}", *others),
    )
    for n, letter, others in (
        (1, "B", ("primer", "Grundierung", "primaire", "imprimación", "grondverf", "první vrstva")),
        (2, "C", ()),
        (3, "D", ()),
    )
}
_GLUE = (
    *("glue", "in adhesive", "Klebstoff", "Kleber", "Klebstoffbruch", "Kleberbruch", "colle"),
    *("pegamento", "colla", "klej", "lijm", "lepidlo", "glue failure", "w kleju", "v lepidle"),
)


_NOT_LETTERS = {COHESIVE: _COHESIVE, INTERFACE: _ADHESIVE}


def share_of(place: str) -> str:
    """Return the words of a column that holds the share of one place of failure (ISO 4624).

    What a boundary is called in words, such as substrate/coat 1, is told by `failure_words`.
    """
    alone = (place, f"% {place}", f"{place} %", f"{place} [%]")
    within = () if "/" in place else _in_words(place)
    return ", ".join([*alone, *(f"{word} {place}" for word in _SHARE), *within])


def _in_words(place: str) -> list[str]:
    """Return what a place within a layer is called without its letter: cohesive coat 1."""
    if place in _NOT_LETTERS:
        words = _NOT_LETTERS[place]
        return [*(f"{word} [%]" for word in words), *(f"% {word}" for word in words)]
    if place == "Y":
        return [f"{word} [%]" for word in _GLUE]
    named = _SUBSTRATE if place == "A" else _COATS[place]
    return [f"{word} {one} [%]" for word in _COHESIVE for one in named]


_SHARE = (
    *("share", "failure", "area", "fracture", "Anteil", "Bruch", "Bruchanteil", "Bruchbild"),
    *("rupture", "part", "rotura", "fallo", "rottura", "cedimento", "zniszczenie", "udział"),
    *("breuk", "aandeel", "lom", "porušení", "podíl"),
)
