"""What the columns of ratings of exposed panels are called."""

from __future__ import annotations

from collections.abc import Mapping

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
    pt: exposição, ensaio, tipo de exposição, ensaio de corrosão, tipo de ensaio
"""

EXPOSURE_VALUES = """
    neutral salt spray =
        NSS, ISO 9227, ISO 9227 NSS, NSST, SST, ASTM B117, B117, DIN EN ISO 9227, EN ISO 9227
        en: salt spray, salt fog, salt mist, neutral salt fog, salt spray test, salt spray NSS,
            salt spray chamber, NSS test, neutral salt spray test, NSS cabinet, salt spray cabinet,
            ISO 9227 neutral, neutral salt spray fog, NSS fog
        de: neutraler Salzsprühnebel, Salzsprühnebel, Salzsprühtest, Salznebel,
            neutrale Salzsprühnebelprüfung, Salzsprühnebelprüfung, Salzsprühnebeltest, Salzsprüh,
            Salzsprühkammer, Salznebeltest, NSS-Kammer, Salzsprühnebelkammer, neutraler Salznebel,
            Salznebelkammer
        fr: brouillard salin, brouillard salin neutre, BS, BSN, brouillard salin (NSS),
            enceinte à brouillard salin, NSS brouillard
        es: niebla salina, niebla salina neutra, cámara de niebla salina, niebla salina (NSS),
            niebla salina neutra NSS
        it: nebbia salina, nebbia salina neutra, nebbia salina (NSS), camera a nebbia salina,
            nebbia salina neutra NSS
        pl: w mgle solnej, w obojętnej mgle solnej, mgle solnej, mgły solnej, w komorze solnej,
            mgła solna, obojętna mgła solna, komora solna, rozpylona solanka, mgła solna (NSS),
            komora mgły solnej, obojętna mgła solna NSS
        nl: zoutnevel, zoutsproei, neutrale zoutnevel, zoutneveltest, zoutsproeitest, zoutnevelkast,
            zoutnevel (NSS), neutrale zoutneveltest, zoutsproeikast
        cs: v solné mlze, v neutrální solné mlze, solné mlze, solné mlhy, v solné komoře,
            solná mlha, neutrální solná mlha, solná komora, solná mlha (NSS), komora solné mlhy,
            neutrální solná mlha NSS
        pt: névoa salina, névoa salina neutra, nevoeiro salino, nevoeiro salino neutro,
            câmara de névoa salina, ensaio de névoa salina;
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
    t, t exp, exp
    expo {h}, expos {h}, exp {h}, cycle {h}, cycles {h}, insp {h}, inspection {h}, inspected {h}, tested {h},
    NSS {h}, SST {h}, CCT {h}, fog {h}, salt fog {h}, salt spray {h},
    Salzsprühnebel {h}, Salznebel {h}, brouillard salin {h}, BS {h}, niebla salina {h}, NS {h},
    nebbia salina {h}, mgła solna {h}, zoutnevel {h}, solná mlha {h}, expozice {h}
    en: exposure, corrosion test, weathering,
        hours [h], exposure time, exposed for, duration, time, test duration, exposure duration,
        hrs [h], h [h], hours of exposure [h], exposure hours [h], test hours [h], days [day],
        days of exposure [day], exposure days [day], test days [day], weeks [week], elapsed,
        time exposed, inspection time, after, inspected after, exposure period, time in test,
        hours in test [h], test time, hours exposed [h], hours in salt spray [h],
        hours in chamber [h], hours in cabinet [h], h in salt spray [h], hours NSS [h], h NSS [h],
        NSS hours [h], hours of salt spray [h], hours salt spray [h], hours in fog [h],
        time in cabinet, time in chamber, hours of test [h], total hours [h], exposed [h],
        inspection after, inspected at, days in test [day], days in chamber [day],
        hours in humidity [h], hours in condensation [h], hours exposed to salt spray [h],
        hours run [h]
    de: Belastung, Beanspruchung, Exposition, Auslagerung, Bewitterung,
        Stunden [h], Std [h], Prüfdauer, Belastungsdauer, Expositionsdauer, Dauer, Zeit, Prüfzeit,
        Expositionszeit, Beanspruchungsdauer, Testdauer, Belastungszeit, Tage [day], Wochen [week],
        nach Stunden [h], Prüfstunden [h], Auslagerungsdauer, nach, Stunden NSS [h], h NSS [h],
        Stunden Salzsprühnebel [h], Stunden im Salzsprühnebel [h], Stunden in der Kammer [h],
        Stunden Salznebel [h], Salzsprühstunden [h], Prüfzeit NSS, nach Belastung,
        Tage in der Kammer [day], Dauer NSS, Stunden Kondenswasser [h], Laufzeit,
        Expositionsstunden [h], Belastungsstunden [h], Inspektion nach, Begutachtung nach,
        Std NSS [h]
    fr: heures [h], durée, temps, durée d'exposition, temps d'exposition, durée d'essai,
        jours [day], heures d'exposition [h], semaines [week], après,
        heures de brouillard salin [h], heures BS [h], heures en brouillard salin [h],
        heures d'essai [h], durée BS, durée en enceinte, jours d'exposition [day],
        heures en enceinte [h], après heures [h], heures cumulées [h], durée de brouillard salin
    es: exposición,
        horas [h], duración, tiempo, tiempo de exposición, duración del ensayo, días [day],
        horas de exposición [h], semanas [week], tras, horas de niebla salina [h],
        horas en niebla salina [h], horas NSS [h], horas de ensayo [h], horas en cámara [h],
        días de exposición [day], tiempo en cámara, duración de la exposición, horas acumuladas [h],
        después de
    it: esposizione,
        ore [h], durata, tempo, tempo di esposizione, durata esposizione, durata della prova,
        giorni [day], ore di esposizione [h], settimane [week], dopo, ore di nebbia salina [h],
        ore in nebbia salina [h], ore NSS [h], ore di prova [h], ore in camera [h],
        giorni di esposizione [day], tempo in camera, ore cumulate [h], dopo ore [h]
    pl: ekspozycja,
        godziny [h], czas, czas ekspozycji, czas trwania, czas badania, godz [h], dni [day], doby [day], doby w komorze [day],
        doby ekspozycji [day], godziny ekspozycji [h], tygodnie [week], liczba godzin [h], po, godziny w komorze [h],
        godziny w mgle solnej [h], godziny NSS [h], godz. ekspozycji [h], czas w komorze,
        dni ekspozycji [day], godziny badania [h], po godzinach [h],
        czas ekspozycji w komorze, czas narażenia
    nl: blootstelling, expositie, belasting,
        uren [h], uur [h], duur, tijd, blootstellingstijd, blootstellingsduur, testduur,
        dagen [day], weken [week], na, uren zoutnevel [h], uren in zoutnevel [h], uren NSS [h],
        uren in kast [h], uren blootstelling [h], proefduur, dagen blootstelling [day],
        uren in de kast [h], belastingsduur, na uren [h], totaal uren [h]
    cs: expozice, namáhání,
        hodiny [h], hod [h], doba, čas, doba expozice, doba zkoušky, trvání, dny [day],
        hodiny expozice [h], týdny [week], po, hodiny v solné mlze [h], hodiny NSS [h],
        hodiny v komoře [h], hodin [h], doba v komoře, dny expozice [day], hodiny zkoušky [h],
        po hodinách [h], doba expozice v komoře, doba namáhání, hodin v komoře [h]
    hu: kitéti idő, terhelési idő, vizsgálati idő
    pt: exposição, tempo de exposição, duração, duração do ensaio, horas de exposição [h],
        horas de ensaio [h], dias [day], após, horas de névoa salina [h]
"""

PROPERTY = """
    en: property, what, rated property, defect, defect type, type of defect, damage, kind of defect,
        type of damage, characteristic, rated, assessed, evaluation of, criterion, feature,
        parameter, assessment, defect rated, degradation, defect evaluated, damage type,
        observation of, rating of, assessed property, coating defect
    de: Eigenschaft, Merkmal, Schaden, Schadensart, Schadensbild, Kriterium, Fehlerart, Defekt,
        bewertet, Art des Schadens, Bewertungsmerkmal, Prüfmerkmal, Defektart, Schädigung,
        Art des Defekts, Beurteilung von, Bewertung von, Schadenstyp
    fr: propriété, défaut, type de défaut, dommage, dégradation, caractéristique, critère,
        type de dégradation, nature du défaut, défaut évalué, altération
    es: propiedad, defecto, tipo de defecto, daño, característica, criterio, deterioro,
        tipo de daño, degradación, defecto evaluado, tipo de deterioro
    it: proprietà, difetto, tipo di difetto, danno, caratteristica, criterio, degrado,
        tipo di danno, difetto valutato, degradazione, tipo di degrado
    pl: właściwość, wada, rodzaj wady, uszkodzenie, rodzaj uszkodzenia, cecha, kryterium,
        rodzaj zniszczenia, defekt, oceniana cecha, rodzaj defektu
    nl: eigenschap, gebrek, soort gebrek, schade, soort schade, kenmerk, criterium, defect,
        soort defect, beoordeeld, type schade, aantasting
    cs: vlastnost, vada, druh vady, poškození, druh poškození, znak, kritérium, typ vady, defekt,
        druh defektu, typ poškození, hodnocená vlastnost, druh porušení
"""

_RUST = """
    Ri, ISO 4628-3, ISO 4628 3, DIN EN ISO 4628-3, 4628-3, EN ISO 4628-3
    en: degree of rusting, rusting, rust degree, rust rating, rust Ri, Ri degree, Ri rating,
        surface rust, degree of rust, rusting degree, rust iso 4628-3, Ri value, Ri grade,
        rust Ri value, rusting (Ri), surface rusting, degree of rusting Ri
    de: Rostgrad, Rost, Durchrostung, Rostgrad Ri, Flächenrost, Durchrostungsgrad, Rostbildung,
        Rost (Ri), Ri-Wert, Ri-Grad, Durchrostung Ri
    fr: rouille, enrouillement, degré d'enrouillement, degré de rouille, corrosion de surface,
        rouille (Ri), degré Ri, enrouillement (Ri), degré d'enrouillement Ri
    es: óxido, oxidación, grado de oxidación, grado de herrumbre, herrumbre, corrosión superficial,
        óxido (Ri), grado Ri, corrosión (Ri), oxidación (Ri), grado de oxidación (Ri)
    it: ruggine, arrugginimento, grado di arrugginimento, grado di ruggine, corrosione superficiale,
        ruggine (Ri), grado Ri, arrugginimento (Ri), grado di arrugginimento (Ri)
    pl: rdza, stopień zardzewienia, zardzewienie, stopień rdzy, skorodowanie, rdza (Ri), stopień Ri,
        zardzewienie (Ri), stopień zardzewienia (Ri), skorodowanie (Ri)
    nl: roest, roestgraad, roestvorming, doorroest, roesten, graad van roesten, roest (Ri),
        roestgraad (Ri), Ri graad, graad van roesten (Ri)
    cs: rez, prorezavění, stupeň prorezavění, stupeň koroze, rezavění, koroze plochy, rez (Ri),
        stupeň Ri, prorezavění (Ri), stupeň prorezavění (Ri), koroze (Ri)
    hu: rozsdásodás, rozsda, rozsdásodás foka
    pt: enferrujamento, ferrugem, grau de enferrujamento, corrosão superficial
"""

_BLISTERS = """
    ISO 4628-2, ISO 4628 2, DIN EN ISO 4628-2, 4628-2, EN ISO 4628-2
    en: blist, blister, blistering, degree of blistering, blister rating, blister degree,
        blistering degree, blisters (ISO 4628-2), blistering rating, blistering q(S), blisters q(S),
        blister grade
    de: Blasen, Blase, Blasengrad, Blasenbildung, Bläschen, Blasen (ISO 4628-2), Blasengrad m(S),
        Blasen m(S), Blasenbewertung
    fr: cloquage, cloques, degré de cloquage, cloque, cloques (ISO 4628-2), degré de cloques,
        cloquage (ISO 4628-2), cotation cloquage
    es: ampollas, ampollamiento, grado de ampollamiento, ampolla, ampollas (ISO 4628-2),
        grado de ampollas, ampollado, grado de ampollado
    it: bolle, vesciche, vescicole, blistering, grado di vescicamento, vescicamento, sbollatura,
        vesciche (ISO 4628-2), grado di blistering, blisteraggio, bollosità
    pl: pęcherze, spęcherzenie, stopień spęcherzenia, pęcherzenie, pęcherze (ISO 4628-2),
        stopień pęcherzy, ocena pęcherzy
    nl: blaren, blaarvorming, blaasvorming, blazen, blaargraad, blaren (ISO 4628-2),
        mate van blaarvorming, graad van blaarvorming, blaarvormingsgraad
    cs: puchýře, puchýřkování, stupeň puchýřkování, puchýřky, puchýře (ISO 4628-2), stupeň puchýřů,
        hodnocení puchýřů, puchýře n(S)
    hu: hólyagosodás, hólyagok
    pt: empolamento, bolhas, grau de empolamento
"""

_CRACKING = """
    ISO 4628-4, ISO 4628 4, DIN EN ISO 4628-4, 4628-4, EN ISO 4628-4
    en: cracks, crack, degree of cracking, crack rating, checking, cracks (ISO 4628-4),
        cracking rating, crack grade
    de: Risse, Rissbildung, Rissgrad, Riss, Rißbildung, Rissbildungsgrad, Risse (ISO 4628-4),
        Rissgrad m(S), Rissbewertung
    fr: craquelage, craquelures, fissures, fissuration, degré de craquelage, fissures (ISO 4628-4),
        degré de fissuration
    es: grietas, agrietamiento, cuarteado, grado de agrietamiento, fisuras, grietas (ISO 4628-4),
        fisuración, grado de fisuración
    it: screpolature, screpolatura, fessurazione, crepe, grado di screpolatura, cricche,
        crepe (ISO 4628-4), grado di fessurazione, cretture
    pl: pęknięcia, spękanie, stopień spękania, pękanie, pęknięcia (ISO 4628-4), stopień pęknięć,
        spękania
    nl: scheuren, barsten, scheurvorming, barstvorming, mate van barsten, scheuren (ISO 4628-4),
        mate van scheurvorming, scheurgraad
    cs: praskliny, praskání, trhliny, stupeň praskání, popraskání, trhliny (ISO 4628-4),
        stupeň trhlin, stupeň popraskání
    hu: repedezés
    pt: fissuração, fissuras, fendilhamento, grau de fissuração
"""

_FLAKING = """
    ISO 4628-5, ISO 4628 5, DIN EN ISO 4628-5, 4628-5, EN ISO 4628-5
    en: flake, flakes, peeling, degree of flaking, flaking rating, scaling, flaking (ISO 4628-5),
        flaking grade, peeling off
    de: Abblättern, Abblätterung, Abblätterungsgrad, Abplatzung, Abplatzungen,
        Abblättern (ISO 4628-5), Abblätterungen, Abplatzgrad
    fr: écaillage, degré d'écaillage, écailles, pelage, écaillage (ISO 4628-5), degré écaillage
    es: descamación, desconchado, desconchamiento, grado de descamación, desprendimiento,
        descamación (ISO 4628-5), desconchones
    it: sfogliamento, sfaldamento, grado di sfogliamento, distacco, scagliatura,
        sfogliamento (ISO 4628-5), grado di sfaldamento
    pl: złuszczenie, łuszczenie, stopień złuszczenia, łuszczenie się, łuszczenie (ISO 4628-5),
        stopień łuszczenia
    nl: afschilfering, afbladdering, bladderen, afbladderen, afschilferen, schilfering,
        mate van afbladderen, afbladdering (ISO 4628-5), afbladdergraad, mate van afschilfering
    cs: odlupování, loupání, stupeň odlupování, odprýskávání, odlupování (ISO 4628-5),
        stupeň loupání, odlupování nátěru
    hu: leválás
    pt: descamação, destacamento, grau de descamação
"""

PROPERTY_VALUES = f"""
    rust = {_RUST};
    blisters = {_BLISTERS};
    cracking = {_CRACKING};
    flaking = {_FLAKING};
    scribe delamination =
        en: delamination, delamination at the scribe, delamination from the scribe, delamination at scribe, scribe delamination d, delamination around scribe,
            loss of adhesion at scribe, disbondment, delamination from scribe
        de: Enthaftung ab Ritz, Enthaftung ab Ritzkante,
        Enthaftung, Enthaftung am Ritz, Unterwanderung, Enthaftung vom Ritz, Unterwanderung am Ritz, Delamination,
            Delamination am Ritz
        fr: décollement depuis la rayure, décollement à partir de la rayure,
            délaminage à partir de la rayure,
        décollement à la rayure, délamination à la rayure, délaminage à la rayure, délaminage, délaminage autour de la rayure, décollement, décollement à la blessure
        es: delaminación desde la incisión, desprendimiento desde la incisión,
        deslaminación, delaminación, delaminación en la incisión, desprendimiento en la incisión
        it: distacco dall'incisione, distacco dal bordo dell'incisione, distacco dal bordo,
        distacco all'incisione, delaminazione, delaminazione all'incisione, scollamento all'incisione
        pl: delaminacja, odwarstwienie, delaminacja przy rysie, odwarstwienie przy rysie
        nl: onthechting langs de kras, delaminatie langs de kras, delaminatie, onthechting, delaminatie bij de kras, onthechting bij de kras
        cs: delaminace v řezu, odlupování od řezu, delaminace, delaminace u řezu, ztráta přilnavosti u řezu, delaminace v okolí řezu;
    scribe corrosion =
        en: corrosion, corrosion at the scribe, corrosion from the scribe, corrosion at scribe, scribe corrosion c, rust creep, corrosion around scribe,
            rust creepage, undercutting, corrosion from scribe, underfilm corrosion
        de: Korrosion, Korrosion am Ritz, Unterrostung, Unterrostung am Ritz, Ritzkorrosion
        fr: corrosion à partir de la rayure, corrosion depuis la rayure,
        corrosion à la rayure, corrosion autour de la rayure, corrosion à la blessure, propagation de la corrosion
        es: corrosión desde la incisión,
        corrosión, corrosión en la incisión, avance de la corrosión
        it: corrosione dall'incisione,
        corrosione, corrosione all'incisione, corrosione da incisione
        pl: korozja, korozja przy rysie, korozja podpowłokowa
        nl: corrosie langs de kras, corrosie vanaf de kras, corrosie, corrosie bij de kras, onderroest, onderroesten
        cs: koroze v řezu, koroze od řezu, koroze, koroze u řezu, podkorodování, koroze v okolí řezu;
    scribe creep =
        en: scribe creep, creepage from scribe, creep from scribe, creepage at scribe
"""

READING = """
    n
    en: reading, measurement, reading no, point, point no, measurement no, position, reading number, no, number,
        measuring point, position along scribe
    de: Messstelle, Messung, Meßstelle, Messpunkt, Messung Nr, Ablesung, Punkt, Stelle, Nr, Position
    fr: mesure n°, mesure, relevé,
        lecture, point, point de mesure, position, mesure no, no
    es: lectura, medida nº, medida,
        lectura, punto, punto de medida, posición, medida no
    it: lettura, misura n, misura,
        lettura, punto, punto di misura, posizione, misura n
    pl: odczyt, pomiar nr, pomiar,
        odczyt, punkt, punkt pomiarowy, pozycja, nr
    nl: aflezing, meting nr, meting,
        aflezing, punt, meetpunt, positie, nr
    cs: odečet, měření č, měření,
        odečet, bod, měřicí bod, pozice
"""

RATING = """
    ISO 4628, ISO 4628 rating, DIN EN ISO 4628
    en: assessment,
        grade, degree, rating grade,
        rating, value, assessment result, rating iso 4628, score, rated as, result, evaluation
    de: Grad, Bewertungsgrad,
        Bewertung, Wert, Ergebnis, Kennwert, Beurteilung, Bewertung ISO 4628, Note, Kennzahl
    fr: degré,
        cotation, valeur, évaluation, notation, résultat, note
    es: grado,
        calificación, valor, evaluación, resultado, clasificación, valoración
    it: grado,
        valutazione, valore, risultato, giudizio, classificazione
    pl: oszacowanie,
        stopień,
        ocena, wartość, wynik, klasyfikacja
    nl: graad,
        beoordeling, waarde, waardering, resultaat, score
    cs: posouzení,
        stupeň,
        hodnocení, hodnota, výsledek, klasifikace, vyhodnocení
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
    D610 gr, D610, ASTM D610, D 610, ASTM D 610, D610 grade, ASTM D610 grade, SSPC-VIS 2, VIS 2, D-610
    en: rust grade, rust grade D610, D610 rating, ASTM rust grade, ASTM rating,
        rust grade ASTM D610, ASTM D610 rating, rust grade ASTM, D610 rust grade, D610 rust,
        rust grade per ASTM D610, rust rating D610, rust rating ASTM D610, ASTM D610 rust grade,
        rust rating per ASTM D610, ASTM D610 rust
    de: Rostgrad D610, Rostgrad ASTM D610, Rostgrad nach ASTM D610, Rostgrad ASTM, Note D610,
        D610-Grad, D610 Rostgrad, ASTM D610 Grad
    fr: degré D610, degré de rouille ASTM D610, rouille ASTM D610, degré ASTM, rouille D610,
        cotation D610, cotation ASTM D610
    es: grado D610, grado ASTM D610, grado de óxido ASTM D610, grado ASTM, óxido D610,
        clasificación D610, grado de oxidación ASTM D610
    it: grado D610, grado ASTM D610, grado di ruggine ASTM D610, grado ASTM, ruggine D610,
        classe D610, valutazione D610
    pl: stopień D610, stopień ASTM D610, stopień rdzy ASTM D610, stopień ASTM, rdza D610,
        ocena D610, ocena ASTM D610
    nl: graad D610, roestgraad ASTM D610, roestgraad D610, graad ASTM, roest D610, D610 graad,
        beoordeling D610
    cs: stupeň D610, stupeň ASTM D610, stupeň koroze ASTM D610, stupeň ASTM, rez D610,
        stupeň rzi (ASTM D610), hodnocení D610, hodnocení ASTM D610
"""

AREA_PERCENT = """
    %, % rust, rust %, % rusted
    en: rusted area, rust area, area rusted, percentage rusted, percent rusted, share of rust, area,
        affected area, corroded area, rust coverage, percent rust, rusted surface, surface rusted,
        area of rust, percentage of rust, area of rust %, rusted %, rust (%), % area, % of area,
        % area rusted, % area rust, rust area percent, % surface rust
    de: verrostete Fläche, Rostfläche, Rostfläche, verrostete Fläche, Rostanteil, Rostflächenanteil,
        Fläche verrostet, Flächenanteil, Flächenanteil Rost, Anteil Rost, gerostete Fläche, Fläche,
        Rost %, Rost in %, % Rost, verrosteter Anteil, Anteil verrostet, Fläche mit Rost
    fr: surface rouillée, surface enrouillée, aire rouillée, pourcentage de rouille, surface,
        % rouille, rouille %, % surface, surface avec rouille
    es: área oxidada, superficie oxidada, porcentaje de óxido, área con óxido, área, % óxido,
        % oxidado, área afectada, superficie con óxido
    it: area arrugginita, superficie arrugginita, percentuale di ruggine, area, % ruggine, % area,
        superficie con ruggine, area con ruggine
    pl: powierzchnia zardzewiała, powierzchnia skorodowana, udział rdzy, procent rdzy, powierzchnia,
        % rdzy, rdza %, powierzchnia rdzy, zardzewiała powierzchnia
    nl: verroest oppervlak, geroest oppervlak, verroest oppervlak, geroest oppervlak,
        roestpercentage, percentage roest, oppervlak, % roest, roest %, oppervlak met roest,
        verroest %
    cs: zkorodovaná plocha, zrezivělá plocha, zrezivělá plocha, plocha rzi, podíl rzi,
        zkorodovaná plocha, procento rzi, plocha, % rzi, rez %, plocha s rzí, zrezivělý podíl
"""

DAMAGE_WIDTH_MM = """
    w damage, w tot, w total
    en: mean width of the corroded area, width of the corroded area, mean width of corrosion,
        width over scribe, width over the scribe, total width, damage width, width, damage width,
        total width, overall width, width over scribe, width across scribe, damaged width,
        width of damage, measured width, width at scribe, full width,
        width of delamination or corrosion, width incl. scribe, width including scribe
    de: mittlere Breite der Korrosion, Breite der korrodierten Zone,
        Breite über den Ritz, Breite über Ritz, Gesamtbreite, Schadensbreite, Breite,
        Schadensbreite, Gesamtbreite, Breite am Ritz, Breite über Ritz, gemessene Breite,
        Gesamtbreite über den Ritz, Breite inkl. Ritz, Breite mit Ritz, Breite gesamt,
        Gesamtbreite am Ritz
    fr: largeur de la zone corrodée,
        largeur, largeur totale, largeur du dommage, largeur dégradée, largeur mesurée,
        largeur sur la rayure, largeur avec rayure, largeur totale sur la rayure
    es: anchura de la zona corroída,
        ancho, anchura, ancho total, anchura total, ancho del daño, anchura del daño, ancho medido,
        anchura medida, ancho sobre la incisión, anchura total sobre la incisión, ancho con incisión
    it: larghezza della zona corrosa,
        larghezza, larghezza totale, larghezza del danno, ampiezza, larghezza misurata,
        larghezza sull'incisione, larghezza totale sull'incisione
    pl: szerokość strefy skorodowanej,
        szerokość, szerokość całkowita, szerokość uszkodzenia, szerokość zmierzona,
        szerokość z rysą, szerokość na rysie, szerokość całkowita na rysie
    nl: breedte van de gecorrodeerde zone,
        breedte, totale breedte, breedte van de schade, schadebreedte, gemeten breedte,
        breedte over de kras, totale breedte over de kras, breedte met kras
    cs: střední šířka korodované oblasti, šířka korodované oblasti,
        šířka, celková šířka, šířka poškození, naměřená šířka, šířka přes řez,
        celková šířka přes řez, šířka s řezem
    pt: largura total, largura da zona corroída, largura do dano
"""

SCRIBE_WIDTH_MM = """
    w, ws, w0, w scribe
    en: scribe width, width of scribe, scribe, width of the scribe, scratch width, cut width,
        scribe mark width, original scribe width, width of scratch, line width, scribe line width,
        scribe w, scribe mark, scribe (mm), width of cut, initial scribe width, scribe line
    de: Ritzbreite, Breite des Ritzes, Ritz, Schnittbreite, Ritzspurbreite, Breite Ritz, Ritz w,
        Ritzbreite w, Ritzlinienbreite, ursprüngliche Ritzbreite
    fr: largeur de la rayure, largeur rayure, largeur de l'incision, largeur d'incision,
        largeur de la blessure, rayure, largeur de rayure, largeur initiale de la rayure, entaille,
        largeur de l'entaille
    es: ancho de la incisión, anchura de la incisión, ancho incisión, ancho de la raya,
        anchura de la raya, incisión, ancho de incisión, anchura de incisión,
        ancho inicial de la incisión, ancho de la entalla
    it: larghezza dell'incisione, larghezza incisione, larghezza dell'intaglio, incisione, intaglio,
        larghezza dell'incisione iniziale, larghezza del taglio, larghezza intaglio
    pl: szerokość rysy, szerokość nacięcia, rysa, szerokość nacięcia początkowego, szer. rysy,
        szerokość rysy początkowa, szer. nacięcia
    nl: krasbreedte, breedte van de kras, kras, insnijdingsbreedte, breedte kras,
        breedte van de insnijding, oorspronkelijke krasbreedte
    cs: šířka řezu, šířka rysky, šířka vrypu, ryska, š. řezu, původní šířka řezu, šířka rýhy,
        šířka zářezu
    pt: largura da incisão, largura do risco, incisão
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
    pt: propagação, avanço a partir da incisão
"""

# columns of wide sheets, one for each property
RUST = (
    _RUST
    + """
    en: rust, rust grade Ri, rust grade ISO 4628, rust grade ISO 4628-3, rust grade to ISO 4628-3,
        rust grade Ri ISO 4628, rust grade per ISO 4628-3, rust grade acc to ISO 4628-3
"""
)
RUST_D610 = D610_GRADE
RUST_AREA = AREA_PERCENT


def _noted(names: Mapping[str, str]) -> str:
    """Return titles that say how a rating of two numbers is written: blistering quantity(size)."""
    return "".join(
        f"    {language}: "
        + ", ".join(
            f"{name.strip()} {quantity}{between}{size}{end}"
            for name in names[language].split(",")
            for quantity in quantities.split("|")
            for between, end in (("(", ")"), (" (", ")"), ("/", ""), (" / ", ""))
        )
        + "\n"
        for language, (quantities, size) in _QUANTITY_AND_SIZE.items()
    )


_QUANTITY_AND_SIZE = {
    "en": ("quantity|density|amount", "size"),
    "de": ("Menge|Dichte", "Größe"),
    "fr": ("quantité|densité", "taille"),
    "es": ("cantidad|densidad", "tamaño"),
    "it": ("quantità|densità", "dimensione"),
    "pl": ("ilość|gęstość", "rozmiar"),
    "nl": ("hoeveelheid|dichtheid", "grootte"),
    "cs": ("množství|hustota", "velikost"),
}
_BLISTERS_NAMED = {
    "en": "blistering, blisters, blister",
    "de": "Blasen, Blasengrad, Blasenbildung",
    "fr": "cloquage, cloques",
    "es": "ampollas, ampollamiento",
    "it": "bolle, vesciche, vescicole, vescicamento",
    "pl": "pęcherze, spęcherzenie",
    "nl": "blaren, blaarvorming",
    "cs": "puchýře, puchýřkování",
}
_CRACKS_NAMED = {
    "en": "cracking, cracks",
    "de": "Risse, Rissgrad, Rissbildung",
    "fr": "craquelage, fissures, fissuration",
    "es": "agrietamiento, grietas",
    "it": "screpolatura, fessurazione, cricche",
    "pl": "spękania, spękanie, pęknięcia",
    "nl": "scheuren, scheurvorming",
    "cs": "praskání, trhliny",
}
_FLAKES_NAMED = {
    "en": "flaking, flakes",
    "de": "Abblättern, Abblätterung, Abblätterungsgrad",
    "fr": "écaillage",
    "es": "descamación, desconchado",
    "it": "sfogliamento, sfaldamento",
    "pl": "złuszczenie, łuszczenie",
    "nl": "afbladderen, afbladdering",
    "cs": "odlupování, loupání",
}
_QUANTITIES = {
    "en": "quantity, density, amount, number, frequency",
    "de": "Menge, Häufigkeit, Dichte, Anzahl",
    "fr": "quantité, densité, nombre",
    "es": "cantidad, densidad, número",
    "it": "quantità, densità, numero",
    "pl": "ilość, gęstość, liczba",
    "nl": "hoeveelheid, dichtheid, aantal",
    "cs": "množství, hustota, počet, četnost",
}
_SIZES = {
    "en": "size",
    "de": "Größe",
    "fr": "taille, dimension",
    "es": "tamaño",
    "it": "dimensione, dimensioni, grandezza",
    "pl": "rozmiar, wielkość",
    "nl": "grootte, afmeting",
    "cs": "velikost, rozměr",
}


def _beside(named: Mapping[str, str], nouns: Mapping[str, str]) -> str:
    """Return names of a defect with a noun behind or before them: blaren grootte, tamaño ampollas."""
    return "".join(
        f"    {language}: "
        + ", ".join(
            f"{one} {other}"
            for name in text.split(", ")
            for noun in nouns[language].split(", ")
            for one, other in ((name, noun), (noun, name))
        )
        + "\n"
        for language, text in named.items()
    )


BLISTERS = _BLISTERS + "    en: blisters\n" + _noted(_BLISTERS_NAMED)
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
""" + _beside(_BLISTERS_NAMED, _QUANTITIES)
BLISTERS_SIZE = """
    en: blister size, size of blisters, blisters size
    de: Blasengröße, Größe der Blasen, Blasen Größe
    fr: taille des cloques, dimension des cloques
    es: tamaño de ampollas, tamaño de las ampollas
    it: dimensione delle bolle, dimensione delle vesciche
    pl: rozmiar pęcherzy, wielkość pęcherzy
    nl: grootte van de blaren, blaargrootte
    cs: velikost puchýřů
""" + _beside(_BLISTERS_NAMED, _SIZES)
CRACKING = _CRACKING + "    en: cracking\n" + _noted(_CRACKS_NAMED)
FLAKING = _FLAKING + "    en: flaking\n" + _noted(_FLAKES_NAMED)
DELAMINATION_WIDTH = """
    d1, d 1, wd
    en: total width of delamination at scribe, total width of the delamination at the scribe,
        total width of the delaminated area, total width of delaminated area,
        delamination width over scribe, delamination width over the scribe,
        width of delamination over scribe, width of delamination at scribe,
        delaminated width over scribe, delaminated width, width of delamination, delamination width,
        total delamination width, width delaminated, width of delaminated area,
        total width of delamination, total width of the delamination, delamination total width,
        total delaminated width, overall width of delamination
    de: Gesamtbreite der Enthaftung am Ritz, Gesamtbreite der Delamination am Ritz,
        Gesamtbreite der enthafteten Zone, Breite der enthafteten Zone,
        Gesamtbreite der delaminierten Zone,
        Enthaftungsbreite am Ritz, Enthaftungsbreite über dem Ritz, Breite der Enthaftung am Ritz,
        Delaminationsbreite am Ritz, Breite der Delamination am Ritz, Enthaftungsbreite,
        Breite der Enthaftung, Delaminationsbreite, Breite der Delamination, enthaftete Breite,
        Gesamtbreite der Enthaftung, Gesamtbreite der Enthaftung über dem Ritz,
        Gesamtbreite der Delamination, Gesamtbreite Enthaftung, Breite Enthaftung,
        Breite Delamination
    fr: largeur totale du décollement à la rayure, largeur totale du délaminage à la rayure,
        largeur totale de la zone décollée, largeur de la zone décollée,
        largeur totale de la zone délaminée, largeur de la zone délaminée,
        largeur de délaminage sur la rayure, largeur de délaminage à la rayure,
        largeur décollée à la rayure, largeur délaminée, largeur de délaminage, largeur décollée,
        largeur du délaminage, largeur totale de délaminage, largeur totale du délaminage,
        largeur totale décollée, largeur du décollement
    es: anchura total de la delaminación en la incisión, ancho total de la delaminación en la incisión,
        anchura total de la delaminación,
        anchura total de la zona delaminada, ancho total de la zona delaminada,
        ancho de la zona delaminada, anchura de la zona desprendida,
        ancho de delaminación en la incisión, anchura de delaminación sobre la incisión,
        ancho delaminado, ancho de delaminación, anchura de delaminación, anchura delaminada,
        ancho total de delaminación, anchura total de delaminación, ancho total de la delaminación
    it: larghezza totale della delaminazione all'incisione, larghezza totale del distacco,
        larghezza totale della zona delaminata, larghezza della zona delaminata,
        larghezza totale della zona distaccata, larghezza della zona distaccata,
        larghezza di delaminazione sull'incisione, larghezza della delaminazione all'incisione,
        larghezza delaminata, larghezza di delaminazione, larghezza della delaminazione,
        larghezza totale della delaminazione, larghezza totale di delaminazione,
        larghezza delaminazione
    pl: całkowita szerokość odwarstwienia przy rysie, całkowita szerokość delaminacji przy rysie,
        całkowita szerokość strefy odwarstwionej, szerokość strefy odwarstwionej,
        szerokość delaminacji przy rysie, szerokość odwarstwienia przy rysie, szerokość delaminacji,
        szerokość odwarstwienia, całkowita szerokość delaminacji, szerokość całkowita delaminacji,
        całkowita szerokość odwarstwienia
    nl: totale breedte van de onthechting bij de kras, totale breedte van de onthechting,
        totale breedte van de onthechte zone, breedte van de onthechte zone,
        delaminatiebreedte over de kras, breedte onthechting bij de kras, delaminatiebreedte,
        breedte van de delaminatie, breedte onthechting, totale breedte delaminatie,
        totale breedte van de delaminatie, totale breedte onthechting, breedte delaminatie
    cs: celková šířka delaminace u řezu, celková šířka odlupování u řezu,
        celková šířka delaminované oblasti, šířka delaminované oblasti,
        šířka delaminace u řezu, šířka delaminace přes řez, šířka delaminace, delaminovaná šířka,
        celková šířka delaminace, šířka odlupování, celková šířka odlupování
"""
DELAMINATION = """
    d, ISO 4628-8 d, d ISO 4628-8
    en: delamination from scribe edge, delamination from edge of scribe,
        delamination from the edge, disbondment from scribe, loss of adhesion from scribe,
        delamination, delamination d, degree of delamination, delamination at scribe,
        delamination from scribe, delamination around scribe, disbondment, scribe delamination,
        loss of adhesion at scribe, scribe creep, creepage, creep, creepage from scribe
    de: Enthaftung ab Ritz, Enthaftung ab Ritzkante, Enthaftung von der Ritzkante,
        Enthaftung vom Ritz, Enthaftung vom Ritzrand, Delamination ab Ritz,
        Enthaftung, Enthaftung d, Enthaftung am Ritz, Delamination, Delaminationsgrad,
        Delamination am Ritz, Unterwanderung, Unterwanderung am Ritz
    fr: décollement depuis la rayure, décollement depuis le bord de la rayure,
        décollement à partir de la rayure, décollement depuis le bord,
        délaminage à partir de la rayure, délaminage depuis la rayure, décollement à la rayure,
        délaminage, délaminage d, degré de délaminage, décollement, délaminage autour de la rayure
    es: desprendimiento desde la incisión, desprendimiento desde el borde,
        desprendimiento desde el borde de la incisión, delaminación desde la incisión,
        deslaminación desde la incisión, delaminación desde el borde,
        delaminación a partir de la incisión,
        delaminación, deslaminación, grado de delaminación, delaminación en la incisión
    it: distacco dal bordo, distacco dall'incisione,
        distacco dal bordo dell'incisione, distacco a partire dall'incisione,
        delaminazione dall'incisione, scollamento dall'incisione,
        delaminazione, grado di delaminazione, delaminazione all'incisione
    pl: odwarstwienie od rysy, odwarstwienie od krawędzi rysy,
        delaminacja od rysy, delaminacja od krawędzi rysy, odwarstwienie od krawędzi,
        delaminacja, odwarstwienie, stopień delaminacji, delaminacja przy rysie
    nl: onthechting vanaf de kras, onthechting vanaf de rand van de kras,
        onthechting vanaf de rand, delaminatie vanaf de kras,
        delaminatie, onthechting, graad van delaminatie, delaminatie bij de kras
    cs: delaminace od řezu, delaminace od okraje řezu, delaminace od okraje,
        odlupování od řezu, ztráta přilnavosti od řezu,
        delaminace, stupeň delaminace, delaminace u řezu
"""
CORROSION_WIDTH = """
    wc, w c, w1
    en: total width of corrosion at scribe, total width of the corrosion at the scribe,
        total width of corrosion over the scribe,
        total width of corroded area, total width of the corroded area,
        total width of the corroded zone, width of the corroded zone, overall width of corrosion,
        corrosion width over scribe, corrosion width over the scribe,
        width of corrosion over scribe, width of corrosion at scribe, corroded width over scribe,
        width of corrosion across scribe, rust width over scribe, corroded width,
        width of corrosion, corrosion width, total corrosion width, width corroded,
        width of corroded area, rust width, total width of corrosion, total width of the corrosion,
        corrosion total width, total corroded width
    de: Gesamtbreite der Korrosion am Ritz, Gesamtbreite der Korrosion über den Ritz,
        Breite der Korrosion über dem Ritz,
        Gesamtbreite der korrodierten Zone, Gesamtbreite der Korrosionszone,
        Breite der Korrosionszone, gesamte Breite der Korrosion, gesamte Korrosionsbreite,
        Korrosionsbreite am Ritz, Korrosionsbreite über dem Ritz, Breite der Korrosion am Ritz,
        Breite der Korrosion über den Ritz, Rostbreite am Ritz, Korrosionsbreite,
        Breite der Korrosion, korrodierte Breite, Rostbreite, Gesamtbreite der Korrosion,
        Gesamtbreite der Korrosion über dem Ritz, Gesamtbreite Korrosion, Breite Korrosion
    fr: largeur totale de la corrosion à la rayure, largeur totale de corrosion à la rayure,
        largeur totale de la zone corrodée, largeur totale zone corrodée,
        largeur totale corrosion, largeur totale de la corrosion sur la rayure,
        largeur de corrosion sur la rayure, largeur de corrosion à la rayure,
        largeur de la corrosion à la rayure, largeur corrodée, largeur de corrosion,
        largeur de la corrosion, largeur totale de corrosion, largeur totale de la corrosion,
        largeur totale corrodée
    es: anchura total de la corrosión en la incisión, ancho total de la corrosión en la incisión,
        anchura total de la corrosión, anchura de la corrosión en la incisión,
        ancho de la corrosión en la incisión,
        anchura total de la zona corroída, ancho total de la zona corroída,
        ancho de la zona corroída, anchura total corroída, ancho de la corrosión,
        anchura de la corrosión,
        ancho de corrosión en la incisión, anchura de corrosión sobre la incisión, ancho corroído,
        ancho de corrosión, anchura de corrosión, anchura corroída, ancho total de corrosión,
        anchura total de corrosión, ancho total de la corrosión
    it: larghezza totale della corrosione all'incisione,
        larghezza totale della corrosione sull'incisione,
        larghezza totale della zona corrosa, larghezza totale corrosa,
        larghezza totale zona corrosa,
        larghezza di corrosione sull'incisione, larghezza della corrosione all'incisione,
        larghezza corrosa, larghezza di corrosione, larghezza della corrosione,
        larghezza totale della corrosione, larghezza totale di corrosione, larghezza corrosione
    pl: całkowita szerokość korozji przy rysie, całkowita szerokość korozji na rysie,
        całkowita szerokość strefy skorodowanej, szerokość całkowita strefy skorodowanej,
        szerokość strefy korozji, całkowita szerokość strefy korozji,
        szerokość korozji przy rysie, szerokość korozji na rysie, szerokość korozji,
        szerokość skorodowana, całkowita szerokość korozji, szerokość całkowita korozji
    nl: totale breedte van de corrosie bij de kras, totale breedte van de corrosie over de kras,
        totale breedte van de gecorrodeerde zone, totale breedte gecorrodeerde zone,
        totale gecorrodeerde breedte, breedte gecorrodeerde zone,
        corrosiebreedte over de kras, corrosiebreedte bij de kras, corrosiebreedte,
        breedte van de corrosie, gecorrodeerde breedte, totale breedte corrosie,
        totale breedte van de corrosie, breedte corrosie
    cs: celková šířka koroze u řezu, celková šířka koroze přes řez,
        celková šířka zkorodované oblasti, celková šířka korodované oblasti,
        šířka zkorodované oblasti, celková šířka zkorodované zóny,
        šířka koroze u řezu, šířka koroze přes řez, šířka koroze, zkorodovaná šířka,
        celková šířka koroze, celková šířka korozního napadení, šířka korozního napadení
"""
CORROSION = """
    c, ISO 4628-8 c, c ISO 4628-8, M
    en: corrosion from scribe edge, corrosion from edge of scribe,
        corrosion, corrosion c, degree of corrosion, corrosion at scribe, corrosion from scribe,
        corrosion around scribe, rust creep, rust creepage, undercutting, underfilm corrosion,
        scribe corrosion, scribe creep, creepage, creep, creepage from scribe
    de: Korrosion ab Ritz, Korrosion ab Ritzkante, Korrosion vom Ritz,
        Korrosion, Korrosion c, Korrosion am Ritz, Korrosionsgrad, Unterrostung,
        Unterrostung am Ritz, Ritzkorrosion
    fr: corrosion à partir de la rayure, corrosion depuis la rayure,
        corrosion depuis le bord de la rayure, corrosion à la rayure,
        corrosion autour de la rayure, degré de corrosion, corrosion à la blessure,
        propagation de la corrosion
    es: corrosión desde la incisión, corrosión a partir de la incisión,
        corrosión desde el borde de la incisión,
        corrosión, grado de corrosión, corrosión en la incisión, avance de la corrosión
    it: corrosione dall'incisione, corrosione a partire dall'incisione,
        corrosione dal bordo dell'incisione,
        corrosione, grado di corrosione, corrosione all'incisione
    pl: korozja od rysy, korozja od krawędzi rysy,
        korozja, stopień korozji, korozja przy rysie, korozja podpowłokowa
    nl: corrosie vanaf de kras, corrosie vanaf de rand van de kras,
        corrosie, graad van corrosie, corrosie bij de kras, onderroest
    cs: koroze od řezu, koroze od okraje řezu,
        koroze, koroze u řezu, podkorodování
"""

BESIDE = """
    Tmp, Temp, Batt, Bat, Bat V, Batt V, V bat, U bat
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
