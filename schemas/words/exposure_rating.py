"""What the columns of ratings of exposed panels are called."""

EXPOSURE = """
    en: exposure, test, exposure test, type of exposure, kind of exposure, type of test, test type,
        exposed to, corrosion test, stress, environment, test method, climate, ageing test,
        weathering, exposure type, chamber test, exposure method
    de: Beanspruchung, Belastung, Prüfung, Test, Prüfart, Exposition, Belastungsart,
        Korrosionsprüfung, Beanspruchungsart, Prüfverfahren, Prüfklima, Klima, Bewitterung,
        Auslagerung, Korrosionstest, Art der Belastung
    fr: exposition, essai, type d'exposition, type d'essai, sollicitation, essai de corrosion,
        vieillissement, milieu, climat
    es: exposición, ensayo, tipo de exposición, tipo de ensayo, ensayo de corrosión,
        envejecimiento, ambiente, medio
    it: esposizione, prova, tipo di esposizione, tipo di prova, prova di corrosione,
        invecchiamento, ambiente, sollecitazione
    pl: ekspozycja, badanie, narażenie, rodzaj ekspozycji, rodzaj badania, rodzaj narażenia,
        badanie korozyjne, środowisko, test korozyjny
    nl: blootstelling, proef, soort blootstelling, soort proef, belasting, expositie,
        corrosieproef, milieu, test
    cs: expozice, zkouška, druh expozice, druh zkoušky, namáhání, korozní zkouška, prostředí,
        typ zkoušky
"""

EXPOSURE_VALUES = """
    neutral salt spray =
        NSS, ISO 9227, ISO 9227 NSS, NSST, SST, ASTM B117, B117, DIN EN ISO 9227, EN ISO 9227
        en: salt spray, salt fog, salt mist, neutral salt fog, salt spray test, salt spray NSS,
            salt spray chamber, NSS test, neutral salt spray test
        de: neutraler Salzsprühnebel, Salzsprühnebel, Salzsprühtest, Salznebel,
            neutrale Salzsprühnebelprüfung,
            Salzsprühnebelprüfung, Salzsprühnebeltest, Salzsprüh, Salzsprühkammer, Salznebeltest
        fr: brouillard salin, brouillard salin neutre, BS, BSN
        es: niebla salina, niebla salina neutra, cámara de niebla salina
        it: nebbia salina, nebbia salina neutra
        pl: w mgle solnej, w obojętnej mgle solnej, mgle solnej, mgły solnej, w komorze solnej, mgła solna, obojętna mgła solna, komora solna, rozpylona solanka
        nl: zoutnevel, zoutsproei, neutrale zoutnevel, zoutneveltest, zoutsproeitest
        cs: v solné mlze, v neutrální solné mlze, solné mlze, solné mlhy, v solné komoře, solná mlha, neutrální solná mlha, solná komora;
    condensation =
        CH, AHT, ISO 6270, ISO 6270-2, ISO 6270-1, ISO 6270-2 CH
        en: condensation water, constant condensation, condensed water, water condensation,
            condensation test, condensation chamber, condensation climate
        de: Kondenswasser, Schwitzwasser, Kondensation, Kondenswasser-Konstantklima, KK,
            Schwitzwassertest, Kondenswassertest, Kondenswasserklima, Kondenswasserprüfung
        fr: eau de condensation, condensation continue, condensation d'eau
        es: condensación, agua de condensación, condensación continua
        it: condensa, condensazione, acqua di condensa, condensazione continua
        pl: w kondensacji, kondensacji wody, kondensacja, kondensacja wody, woda kondensacyjna, kondensacja ciągła
        nl: condensatie, condenswater, condensatiewater
        cs: v kondenzační komoře, kondenzaci vody, kondenzace, kondenzace vody, kondenzační voda, kondenzační komora;
    humidity =
        RH 100, ASTM D2247, D2247
        en: humid, damp heat, high humidity, humidity test, humidity chamber, damp, moisture,
            humid heat
        de: Feuchte, Feuchteklima, Feuchtlagerung, feuchte Wärme, Feuchtigkeit, Klimaschrank,
            Feuchtetest, Luftfeuchte
        fr: humidité, chaleur humide, enceinte humide, essai d'humidité
        es: humedad, calor húmedo, cámara de humedad, cámara húmeda
        it: umidità, caldo umido, camera umida, camera umidostatica
        pl: w komorze wilgotnościowej, wilgotność, wilgotne gorąco, komora wilgotnościowa
        nl: vochtigheid, vochtige warmte, vochtkast, luchtvochtigheid
        cs: ve vlhkostní komoře, ve vlhké komoře, vlhkost, vlhké teplo, vlhkostní komora, vlhká komora;
    immersion =
        ISO 2812, ISO 2812-2, ISO 2812-1, ASTM D870, D870
        en: immersed, water immersion, salt water, in water, salt water immersion, sea water,
            seawater, seawater immersion, immersion test, dipped
        de: Tauchlagerung, Eintauchen, Wasserlagerung, Salzwasser, Wassertauchen, Tauchprüfung,
            getaucht,
            Immersion, Meerwasser, Tauchen
        fr: immersion dans l'eau, immergé, eau de mer, eau salée
        es: inmersión, inmersión en agua, sumergido, agua de mar, agua salada
        it: immersione, immersione in acqua, immerso, acqua di mare, acqua salata
        pl: w zanurzeniu, zanurzeniu, zanurzenie, immersja, zanurzenie w wodzie, woda morska, zanurzony
        nl: immersie, onderdompeling, dompelproef, zeewater, ondergedompeld
        cs: v ponoru, ponoru, ponor, imerze, ponor ve vodě, mořská voda, ponořeno;
    cyclic =
        ISO 12944-9, ISO 11997, ISO 11997-1, CCT, ASTM D5894, D5894, ISO 20340
        en: cyclic corrosion, cyclic test, cyclic ageing, cyclic aging, cycle test,
            cyclic corrosion test, alternating climate, wet dry cycles
        de: zyklisch, Wechseltest, Zyklentest, Klimawechsel, zyklische Alterung, Wechselklima,
            Korrosionswechseltest, zyklische Korrosionsprüfung
        fr: cyclique, essai cyclique, vieillissement cyclique, corrosion cyclique
        es: cíclico, cíclica, ensayo cíclico, corrosión cíclica, envejecimiento cíclico
        it: ciclico, ciclica, prova ciclica, corrosione ciclica, invecchiamento ciclico
        pl: cykliczna, cykliczne, cykliczny, badanie cykliczne, korozja cykliczna
        nl: cyclisch, cyclische, cyclische proef, cyclische corrosie
        cs: cyklická, cyklický, cyklická zkouška, cyklická koroze;
    outdoor =
        ISO 2810, ISO 8565
        en: outside, outdoors, natural weathering, outdoor weathering, outdoor exposure,
            atmospheric,
            weathering site, field, field exposure, atmospheric exposure
        de: Freibewitterung, Außenbewitterung, draußen, Freilagerung, außen, Naturbewitterung,
            Freilandbewitterung, Außenlagerung, Auslagerung im Freien
        fr: extérieur, vieillissement naturel, exposition extérieure, exposition naturelle,
            plein air, atmosphérique
        es: exterior, intemperie, exposición exterior, exposición natural, envejecimiento natural
        it: esterno, esposizione esterna, esposizione naturale, all'aperto, invecchiamento naturale
        pl: zewnętrzna, na zewnątrz, ekspozycja atmosferyczna, warunki naturalne, atmosferyczna
        nl: buiten, buitenexpositie, buitenblootstelling, natuurlijke verwering, atmosferisch
        cs: venkovní, venku, venkovní expozice, atmosférická, přirozené povětrnostní stárnutí
"""

EXPOSURE_H = """
    t, t exp
    en: hours [h], exposure time, exposed for, duration, time, test duration, exposure duration,
        hrs [h],
        h [h], hours of exposure [h], exposure hours [h], test hours [h], days [day],
        days of exposure [day], exposure days [day], test days [day], weeks [week], elapsed,
        time exposed,
        inspection time, after, inspected after, exposure period, time in test, hours in test [h],
        test time, hours exposed [h]
    de: Stunden [h], Std [h], Prüfdauer, Belastungsdauer, Expositionsdauer, Dauer, Zeit, Prüfzeit,
        Expositionszeit, Beanspruchungsdauer, Testdauer, Belastungszeit, Tage [day], Wochen [week],
        nach Stunden [h], Prüfstunden [h], Auslagerungsdauer, nach
    fr: heures [h], durée, temps, durée d'exposition, temps d'exposition, durée d'essai,
        jours [day],
        heures d'exposition [h], semaines [week], après
    es: horas [h], duración, tiempo, tiempo de exposición, duración del ensayo, días [day],
        horas de exposición [h], semanas [week], tras
    it: ore [h], durata, tempo, tempo di esposizione, durata esposizione, durata della prova,
        giorni [day],
        ore di esposizione [h], settimane [week], dopo
    pl: godziny [h], czas, czas ekspozycji, czas trwania, czas badania, godz [h], dni [day],
        godziny ekspozycji [h], tygodnie [week], liczba godzin [h], po
    nl: uren [h], uur [h], duur, tijd, blootstellingstijd, blootstellingsduur, testduur,
        dagen [day],
        weken [week], na
    cs: hodiny [h], hod [h], doba, čas, doba expozice, doba zkoušky, trvání, dny [day],
        hodiny expozice [h], týdny [week], po
"""

PROPERTY = """
    en: property, what, rated property, defect, defect type, type of defect, damage, kind of defect,
        type of damage, characteristic, rated, assessed, evaluation of, criterion, feature,
        parameter, assessment
    de: Eigenschaft, Merkmal, Schaden, Schadensart, Schadensbild, Kriterium, Fehlerart, Defekt,
        bewertet, Art des Schadens, Bewertungsmerkmal, Prüfmerkmal
    fr: propriété, défaut, type de défaut, dommage, dégradation, caractéristique, critère
    es: propiedad, defecto, tipo de defecto, daño, característica, criterio, deterioro
    it: proprietà, difetto, tipo di difetto, danno, caratteristica, criterio, degrado
    pl: właściwość, wada, rodzaj wady, uszkodzenie, rodzaj uszkodzenia, cecha, kryterium
    nl: eigenschap, gebrek, soort gebrek, schade, soort schade, kenmerk, criterium
    cs: vlastnost, vada, druh vady, poškození, druh poškození, znak, kritérium, typ vady
"""

_RUST = """
    Ri, ISO 4628-3, ISO 4628 3, DIN EN ISO 4628-3
    en: degree of rusting, rusting, rust degree, rust rating, rust Ri, Ri degree, Ri rating,
        surface rust, degree of rust, rusting degree, rust iso 4628-3
    de: Rostgrad, Rost, Durchrostung, Rostgrad Ri, Flächenrost, Durchrostungsgrad, Rostbildung
    fr: rouille, enrouillement, degré d'enrouillement, degré de rouille, corrosion de surface
    es: óxido, oxidación, grado de oxidación, grado de herrumbre, herrumbre, corrosión superficial
    it: ruggine, arrugginimento, grado di arrugginimento, grado di ruggine, corrosione superficiale
    pl: rdza, stopień zardzewienia, zardzewienie, stopień rdzy, skorodowanie
    nl: roest, roestgraad, roestvorming, doorroest, roesten, graad van roesten
    cs: rez, prorezavění, stupeň prorezavění, stupeň koroze, rezavění, koroze plochy
"""

_BLISTERS = """
    ISO 4628-2, ISO 4628 2, DIN EN ISO 4628-2
    en: blister, blistering, degree of blistering, blister rating, blister degree, blistering degree
    de: Blasen, Blase, Blasengrad, Blasenbildung, Bläschen
    fr: cloquage, cloques, degré de cloquage, cloque
    es: ampollas, ampollamiento, grado de ampollamiento, ampolla
    it: bolle, vesciche, blistering, grado di vescicamento, vescicamento, sbollatura
    pl: pęcherze, spęcherzenie, stopień spęcherzenia, pęcherzenie
    nl: blaren, blaarvorming, blaasvorming, blazen, blaargraad
    cs: puchýře, puchýřkování, stupeň puchýřkování, puchýřky
"""

_CRACKING = """
    ISO 4628-4, ISO 4628 4, DIN EN ISO 4628-4
    en: cracks, crack, degree of cracking, crack rating, checking
    de: Risse, Rissbildung, Rissgrad, Riss, Rißbildung, Rissbildungsgrad
    fr: craquelage, craquelures, fissures, fissuration, degré de craquelage
    es: grietas, agrietamiento, cuarteado, grado de agrietamiento, fisuras
    it: screpolature, screpolatura, fessurazione, crepe, grado di screpolatura, cricche
    pl: pęknięcia, spękanie, stopień spękania, pękanie
    nl: scheuren, barsten, scheurvorming, barstvorming, mate van barsten
    cs: praskliny, praskání, trhliny, stupeň praskání, popraskání
"""

_FLAKING = """
    ISO 4628-5, ISO 4628 5, DIN EN ISO 4628-5
    en: flake, flakes, peeling, degree of flaking, flaking rating, scaling
    de: Abblättern, Abblätterung, Abblätterungsgrad, Abplatzung, Abplatzungen
    fr: écaillage, degré d'écaillage, écailles, pelage
    es: descamación, desconchado, desconchamiento, grado de descamación, desprendimiento
    it: sfogliamento, sfaldamento, grado di sfogliamento, distacco, scagliatura
    pl: złuszczenie, łuszczenie, stopień złuszczenia, łuszczenie się
    nl: afschilfering, afbladdering, bladderen, afbladderen, afschilferen, schilfering, mate van afbladderen
    cs: odlupování, loupání, stupeň odlupování, odprýskávání
"""

PROPERTY_VALUES = f"""
    rust = {_RUST};
    blisters = {_BLISTERS};
    cracking = {_CRACKING};
    flaking = {_FLAKING};
    scribe delamination =
        en: delamination, delamination at the scribe, delamination from the scribe, delamination at scribe, scribe delamination d, delamination around scribe,
            loss of adhesion at scribe, disbondment, delamination from scribe
        de: Enthaftung, Enthaftung am Ritz, Unterwanderung, Enthaftung vom Ritz, Unterwanderung am Ritz, Delamination,
            Delamination am Ritz
        fr: décollement à la rayure, délamination à la rayure, délaminage à la rayure, délaminage, délaminage autour de la rayure, décollement, décollement à la blessure
        es: deslaminación, delaminación, delaminación en la incisión, desprendimiento en la incisión
        it: distacco all'incisione, delaminazione, delaminazione all'incisione, scollamento all'incisione
        pl: delaminacja, odwarstwienie, delaminacja przy rysie, odwarstwienie przy rysie
        nl: onthechting langs de kras, delaminatie langs de kras, delaminatie, onthechting, delaminatie bij de kras, onthechting bij de kras
        cs: delaminace v řezu, odlupování od řezu, delaminace, delaminace u řezu, ztráta přilnavosti u řezu, delaminace v okolí řezu;
    scribe corrosion =
        en: corrosion, corrosion at the scribe, corrosion from the scribe, corrosion at scribe, scribe corrosion c, rust creep, corrosion around scribe,
            rust creepage, undercutting, corrosion from scribe, underfilm corrosion
        de: Korrosion, Korrosion am Ritz, Unterrostung, Unterrostung am Ritz, Ritzkorrosion
        fr: corrosion à la rayure, corrosion autour de la rayure, corrosion à la blessure, propagation de la corrosion
        es: corrosión, corrosión en la incisión, avance de la corrosión
        it: corrosione, corrosione all'incisione, corrosione da incisione
        pl: korozja, korozja przy rysie, korozja podpowłokowa
        nl: corrosie langs de kras, corrosie vanaf de kras, corrosie, corrosie bij de kras, onderroest, onderroesten
        cs: koroze v řezu, koroze od řezu, koroze, koroze u řezu, podkorodování, koroze v okolí řezu
"""

READING = """
    n
    en: reading, reading no, point, point no, measurement no, position, reading number, no, number,
        measuring point, position along scribe
    de: Messstelle, Meßstelle, Messpunkt, Messung Nr, Ablesung, Punkt, Stelle, Nr, Position
    fr: mesure n°, relevé,
        lecture, point, point de mesure, position, mesure no, no
    es: lectura, medida nº,
        lectura, punto, punto de medida, posición, medida no
    it: lettura, misura n,
        lettura, punto, punto di misura, posizione, misura n
    pl: odczyt, pomiar nr,
        odczyt, punkt, punkt pomiarowy, pozycja, nr
    nl: aflezing, meting nr,
        aflezing, punt, meetpunt, positie, nr
    cs: odečet, měření č,
        odečet, bod, měřicí bod, pozice
"""

RATING = """
    ISO 4628, ISO 4628 rating, DIN EN ISO 4628
    en: assessment,
        grade, degree, rating grade,
        rating, assessment result, rating iso 4628, score, rated as, result, evaluation
    de: Grad, Bewertungsgrad,
        Bewertung, Ergebnis, Kennwert, Beurteilung, Bewertung ISO 4628, Note, Kennzahl
    fr: degré,
        cotation, évaluation, notation, résultat, note
    es: grado,
        calificación, evaluación, resultado, clasificación, valoración
    it: grado,
        valutazione, risultato, giudizio, classificazione
    pl: oszacowanie,
        stopień,
        ocena, wynik, klasyfikacja
    nl: graad,
        beoordeling, waardering, resultaat, score
    cs: posouzení,
        stupeň,
        hodnocení, výsledek, klasifikace, vyhodnocení
"""

GRADE = """
    en: grade, degree, quantity, quantity of defects, amount, density of defects, defect quantity
    de: Grad, Menge, Menge der Schäden, Häufigkeit, Schadensmenge, Anzahl der Schäden
    fr: degré, quantité, quantité de défauts, densité des défauts
    es: grado, cantidad, cantidad de defectos, densidad de defectos
    it: grado, quantità, quantità di difetti, densità dei difetti
    pl: stopień, ilość, ilość wad, gęstość wad
    nl: graad, hoeveelheid, aantal gebreken, dichtheid van gebreken
    cs: stupeň, množství, množství vad, hustota vad
"""

SIZE = """
    S
    en: size, size of defects, defect size, average size, size class, size S
    de: Größe, Größe der Schäden, Schadensgröße, Größenklasse, Größe S
    fr: dimension, taille, taille des défauts, dimension des défauts
    es: tamaño, dimensión, tamaño de los defectos
    it: dimensione, dimensione dei difetti, grandezza
    pl: rozmiar, wielkość, rozmiar wad, wielkość wad
    nl: grootte, afmeting, grootte van gebreken
    cs: velikost, rozměr, velikost vad
"""

D610_GRADE = """
    D610, ASTM D610, D 610, ASTM D 610, D610 grade, ASTM D610 grade, SSPC-VIS 2, VIS 2, D-610
    en: rust grade, rust grade D610, D610 rating, ASTM rust grade, ASTM rating,
        rust grade ASTM D610,
        ASTM D610 rating, rust grade ASTM
    de: Rostgrad D610, Rostgrad ASTM D610, Rostgrad nach ASTM D610, Rostgrad ASTM, Note D610
    fr: degré D610, degré de rouille ASTM D610, rouille ASTM D610, degré ASTM
    es: grado D610, grado ASTM D610, grado de óxido ASTM D610, grado ASTM
    it: grado D610, grado ASTM D610, grado di ruggine ASTM D610, grado ASTM
    pl: stopień D610, stopień ASTM D610, stopień rdzy ASTM D610, stopień ASTM
    nl: graad D610, roestgraad ASTM D610, roestgraad D610, graad ASTM
    cs: stupeň D610, stupeň ASTM D610, stupeň koroze ASTM D610, stupeň ASTM
"""

AREA_PERCENT = """
    %, % rust, rust %, % rusted
    en: rusted area, rust area, area rusted, percentage rusted, percent rusted, share of rust,
        area, affected area, corroded area, rust coverage, percent rust, rusted surface,
        surface rusted, area of rust, percentage of rust
    de: verrostete Fläche, Rostfläche,
        Rostfläche, verrostete Fläche, Rostanteil, Rostflächenanteil, Fläche verrostet,
        Flächenanteil, Flächenanteil Rost, Anteil Rost, gerostete Fläche, Fläche
    fr: surface rouillée, surface enrouillée, aire rouillée, pourcentage de rouille, surface
    es: área oxidada, superficie oxidada, porcentaje de óxido, área con óxido, área
    it: area arrugginita, superficie arrugginita, percentuale di ruggine, area
    pl: powierzchnia zardzewiała, powierzchnia skorodowana, udział rdzy, procent rdzy,
        powierzchnia
    nl: verroest oppervlak, geroest oppervlak,
        verroest oppervlak, geroest oppervlak, roestpercentage, percentage roest, oppervlak
    cs: zkorodovaná plocha, zrezivělá plocha,
        zrezivělá plocha, plocha rzi, podíl rzi, zkorodovaná plocha, procento rzi, plocha
"""

DAMAGE_WIDTH_MM = """
    en: width over scribe, width over the scribe, total width, damage width,
        width, damage width, total width, overall width, width over scribe, width across scribe,
        damaged width, width of damage
    de: Breite über den Ritz, Breite über Ritz, Gesamtbreite, Schadensbreite,
        Breite, Schadensbreite, Gesamtbreite, Breite am Ritz, Breite über Ritz
    fr: largeur, largeur totale, largeur du dommage, largeur dégradée
    es: ancho, anchura, ancho total, anchura total, ancho del daño, anchura del daño
    it: larghezza, larghezza totale, larghezza del danno, ampiezza
    pl: szerokość, szerokość całkowita, szerokość uszkodzenia
    nl: breedte, totale breedte, breedte van de schade, schadebreedte
    cs: šířka, celková šířka, šířka poškození
"""

SCRIBE_WIDTH_MM = """
    w, ws, w0, w scribe
    en: scribe width, width of scribe, scribe, width of the scribe, scratch width, cut width,
        scribe mark width, original scribe width, width of scratch, line width, scribe line width
    de: Ritzbreite, Breite des Ritzes, Ritz, Schnittbreite, Ritzspurbreite, Breite Ritz
    fr: largeur de la rayure, largeur rayure, largeur de l'incision, largeur d'incision,
        largeur de la blessure, rayure
    es: ancho de la incisión, anchura de la incisión, ancho incisión, ancho de la raya,
        anchura de la raya, incisión
    it: larghezza dell'incisione, larghezza incisione, larghezza dell'intaglio, incisione, intaglio
    pl: szerokość rysy, szerokość nacięcia, rysa, szerokość nacięcia początkowego
    nl: krasbreedte, breedte van de kras, kras, insnijdingsbreedte
    cs: šířka řezu, šířka rysky, šířka vrypu, ryska
"""

CREEP_MM = """
    en: undercutting from scribe, undercreep, underfilm creep, creep at scribe,
        creep, creepage, scribe creep, scribe creepage, mean creep, creep from scribe,
        creepage from scribe, creep from the scribe, one-sided creep, distance from scribe,
        mean creepage
    de: Unterwanderung vom Ritz, Unterwanderung, Unterwanderungsbreite einseitig,
        Abstand vom Ritz, einseitige Breite, Ausbreitung, Ausbreitung vom Ritz,
        Unterwanderung einseitig
    fr: propagation à partir de la rayure, migration depuis la rayure,
        propagation, avance, progression, propagation depuis la rayure
    es: propagación desde la incisión, migración desde la incisión,
        avance, propagación, avance desde la incisión, distancia desde la incisión
    it: avanzamento dall'incisione, migrazione dall'incisione,
        avanzamento, propagazione, propagazione dall'incisione, distanza dall'incisione
    pl: podkorodowanie od rysy, podkorodowanie, podrdzewienie od rysy, zasięg korozji od rysy,
        zasięg, zasięg od rysy, odległość od rysy, rozprzestrzenianie
    nl: onderkruip vanaf de kras, onderkruip, onderkruiping, kruip vanaf de kras,
        uitbreiding, kruip, uitbreiding vanaf de kras, afstand tot de kras
    cs: podkorodování od řezu, podkorodování, podrezivění od řezu, šíření od řezu,
        rozšíření, šíření, rozšíření od řezu, vzdálenost od řezu
"""

# columns of wide sheets, one for each property
RUST = _RUST + "    en: rust\n"
RUST_D610 = D610_GRADE
RUST_AREA = AREA_PERCENT
BLISTERS = _BLISTERS + "    en: blisters\n"
BLISTERS_QUANTITY = """
    en: blister quantity, quantity of blisters, blisters quantity, blister density, blisters amount,
        blister frequency
    de: Blasenmenge, Menge der Blasen, Blasen Menge, Blasenhäufigkeit, Blasendichte
    fr: quantité de cloques, densité de cloques, densité de cloquage
    es: cantidad de ampollas, densidad de ampollas
    it: quantità di bolle, densità di bolle, quantità di vesciche
    pl: ilość pęcherzy, gęstość pęcherzy
    nl: hoeveelheid blaren, aantal blaren, blaardichtheid
    cs: množství puchýřů, hustota puchýřů
"""
BLISTERS_SIZE = """
    en: blister size, size of blisters, blisters size
    de: Blasengröße, Größe der Blasen, Blasen Größe
    fr: taille des cloques, dimension des cloques
    es: tamaño de ampollas, tamaño de las ampollas
    it: dimensione delle bolle, dimensione delle vesciche
    pl: rozmiar pęcherzy, wielkość pęcherzy
    nl: grootte van de blaren, blaargrootte
    cs: velikost puchýřů
"""
CRACKING = _CRACKING + "    en: cracking\n"
FLAKING = _FLAKING + "    en: flaking\n"
DELAMINATION_WIDTH = """
    d1, d 1, wd
    en: delamination width over scribe, delamination width over the scribe, width of delamination over scribe, width of delamination at scribe, delaminated width over scribe,
        delaminated width, width of delamination, delamination width, total delamination width,
        width delaminated, width of delaminated area
    de: Enthaftungsbreite am Ritz, Enthaftungsbreite über dem Ritz, Breite der Enthaftung am Ritz, Delaminationsbreite am Ritz, Breite der Delamination am Ritz,
        Enthaftungsbreite, Breite der Enthaftung, Delaminationsbreite, Breite der Delamination,
        enthaftete Breite, Gesamtbreite der Enthaftung
    fr: largeur de délaminage sur la rayure, largeur de délaminage à la rayure, largeur décollée à la rayure,
        largeur délaminée, largeur de délaminage, largeur décollée, largeur du délaminage
    es: ancho de delaminación en la incisión, anchura de delaminación sobre la incisión,
        ancho delaminado, ancho de delaminación, anchura de delaminación, anchura delaminada
    it: larghezza di delaminazione sull'incisione, larghezza della delaminazione all'incisione,
        larghezza delaminata, larghezza di delaminazione, larghezza della delaminazione
    pl: szerokość delaminacji przy rysie, szerokość odwarstwienia przy rysie,
        szerokość delaminacji, szerokość odwarstwienia
    nl: delaminatiebreedte over de kras, breedte onthechting bij de kras,
        delaminatiebreedte, breedte van de delaminatie, breedte onthechting
    cs: šířka delaminace u řezu, šířka delaminace přes řez,
        šířka delaminace, delaminovaná šířka
"""
DELAMINATION = """
    d, ISO 4628-8 d, d ISO 4628-8
    en: delamination, delamination d, degree of delamination, delamination at scribe,
        delamination from scribe, delamination around scribe, disbondment, scribe delamination,
        loss of adhesion at scribe, scribe creep, creepage, creep, creepage from scribe
    de: Enthaftung, Enthaftung d, Enthaftung am Ritz, Delamination, Delaminationsgrad,
        Delamination am Ritz, Unterwanderung, Unterwanderung am Ritz
    fr: délaminage, délaminage d, degré de délaminage, décollement, délaminage autour de la rayure
    es: delaminación, deslaminación, grado de delaminación, delaminación en la incisión
    it: delaminazione, grado di delaminazione, delaminazione all'incisione
    pl: delaminacja, odwarstwienie, stopień delaminacji, delaminacja przy rysie
    nl: delaminatie, onthechting, graad van delaminatie, delaminatie bij de kras
    cs: delaminace, stupeň delaminace, delaminace u řezu
"""
CORROSION_WIDTH = """
    wc, w c, w1
    en: corrosion width over scribe, corrosion width over the scribe, width of corrosion over scribe, width of corrosion at scribe, corroded width over scribe, width of corrosion across scribe, rust width over scribe,
        corroded width, width of corrosion, corrosion width, total corrosion width,
        width corroded, width of corroded area, rust width
    de: Korrosionsbreite am Ritz, Korrosionsbreite über dem Ritz, Breite der Korrosion am Ritz, Breite der Korrosion über den Ritz, Rostbreite am Ritz,
        Korrosionsbreite, Breite der Korrosion, korrodierte Breite, Rostbreite,
        Gesamtbreite der Korrosion
    fr: largeur de corrosion sur la rayure, largeur de corrosion à la rayure, largeur de la corrosion à la rayure,
        largeur corrodée, largeur de corrosion, largeur de la corrosion
    es: ancho de corrosión en la incisión, anchura de corrosión sobre la incisión,
        ancho corroído, ancho de corrosión, anchura de corrosión, anchura corroída
    it: larghezza di corrosione sull'incisione, larghezza della corrosione all'incisione,
        larghezza corrosa, larghezza di corrosione, larghezza della corrosione
    pl: szerokość korozji przy rysie, szerokość korozji na rysie,
        szerokość korozji, szerokość skorodowana
    nl: corrosiebreedte over de kras, corrosiebreedte bij de kras,
        corrosiebreedte, breedte van de corrosie, gecorrodeerde breedte
    cs: šířka koroze u řezu, šířka koroze přes řez,
        šířka koroze, zkorodovaná šířka
"""
CORROSION = """
    c, ISO 4628-8 c, c ISO 4628-8, M
    en: corrosion, corrosion c, degree of corrosion, corrosion at scribe, corrosion from scribe,
        corrosion around scribe, rust creep, rust creepage, undercutting, underfilm corrosion,
        scribe corrosion, scribe creep, creepage, creep, creepage from scribe
    de: Korrosion, Korrosion c, Korrosion am Ritz, Korrosionsgrad, Unterrostung,
        Unterrostung am Ritz, Ritzkorrosion
    fr: corrosion autour de la rayure, degré de corrosion, corrosion à la blessure,
        propagation de la corrosion
    es: corrosión, grado de corrosión, corrosión en la incisión, avance de la corrosión
    it: corrosione, grado di corrosione, corrosione all'incisione
    pl: korozja, stopień korozji, korozja przy rysie, korozja podpowłokowa
    nl: corrosie, graad van corrosie, corrosie bij de kras, onderroest
    cs: koroze, koroze u řezu, podkorodování
"""

BESIDE = """
    pH, DFT, ISO 4628-6, ISO 4628-7
    en: chalking, cross-cut, cross cut, adhesion, gloss, colour, color, colour change, softening,
        photo, picture, inspector, mean, average, sd, std dev, standard deviation, min, max,
        chamber, cycle, cycles, limit, requirement, pass, pass fail, temperature, film thickness,
        thickness, edge rust, edge corrosion, edge, side, next inspection, swelling, wrinkling,
        date of next inspection, category, corrosivity category, durability
    de: Kreidung, Gitterschnitt, Haftung, Glanz, Farbe, Farbänderung, Erweichung, Foto, Bild,
        Prüfer,
        Mittelwert, Standardabweichung, Kammer, Zyklus, Zyklen, Grenzwert, Anforderung, bestanden,
        Temperatur, Schichtdicke, Kantenrost, Kante, Seite, nächste Inspektion, Quellung,
        Korrosivitätskategorie, Schutzdauer
    fr: farinage, quadrillage, adhérence, brillant, couleur, photo, inspecteur, moyenne, écart-type,
        enceinte, cycle, limite, exigence, conforme, température, épaisseur, arête
    es: caleo, tizado, corte enrejado, adherencia, brillo, color, foto, inspector, media,
        desviación estándar, cámara, ciclo, límite, requisito, conforme, temperatura, espesor, borde
    it: sfarinamento, quadrettatura, adesione, brillantezza, colore, foto, ispettore, media,
        deviazione standard, camera, ciclo, limite, requisito, conforme, temperatura, spessore,
        bordo
    pl: kredowanie, siatka nacięć, przyczepność, połysk, barwa, zdjęcie, oceniający, średnia,
        odchylenie standardowe, komora, cykl, limit, wymaganie, temperatura, grubość, krawędź
    nl: krijten, verkrijting, ruitjesproef, hechting, glans, kleur, foto, inspecteur, gemiddelde,
        standaardafwijking, kamer, cyclus, grens, eis, temperatuur, laagdikte, rand
    cs: křídování, mřížková zkouška, přilnavost, lesk, barva, fotografie, hodnotitel, průměr,
        směrodatná odchylka, komora, cyklus, limit, požadavek, teplota, tloušťka, hrana
"""
