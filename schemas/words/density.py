"""What the columns of densities of wet paint are called."""

from tiecoat.schemas.words.not_stated import NOT_STATED

TEMPERATURE_C = """
    T cel, T cél, T celi, T cely, T célula, Ts, Tp, T in, T avg, T mean, T meas, T pt, T samp, T liq, temp avg, temp mean, mean temp, cell temp,
        temp sample, temp in, paint temp, temp paint, temp liq, temp meas, tmp in
    de: Zelltemperatur, Messtemp, Temp Probe, Temp Zelle, Lacktemp
    fr: temp cellule, temp échantillon, temp peinture, temp mesure
    es: temp celda, temp muestra, temp pintura, temp medida
    it: temp cella, temp campione, temp pittura, temp misura
    pl: temp celi, temp próbki, temp farby, temp pomiaru
    nl: temp cel, temp monster, temp verf, celtemp, meettemp
    cs: teplota cely, tepl cely, tepl vzorku, tepl barvy
    T verf, T paint, T sample, T Lack, T Probe, T peinture, T échantillon, T pintura,
        T muestra, T pittura, T vernice, T campione, T farby, T próbki, T monster, T barvy, T vzorku
    T, t, θ, ϑ, temp, tmp, Tc, T cell, Tcell, T col, column T, T column, T cup, T bath, T Zelle, T cella, T cellule
    en: temperature, sample temperature, sample temp, test temperature, measuring temperature,
        measurement temperature, cup temperature, liquid temperature, paint temperature, bath temp,
        bath temperature, cell temperature, temperature of sample, temp of sample, temperature T,
        material temperature, product temperature, liquid temp, temp liquid, column temperature,
        temperature of liquid
    de: Temperatur, Probentemperatur, Probentemp, Messtemperatur, Meßtemperatur, Prüftemperatur,
        Badtemperatur, Bechertemperatur, Flüssigkeitstemperatur, Temp Flüssigkeit, Materialtemperatur, Lacktemperatur, Temperatur der Probe
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
    hu: hőmérséklet, minta hőmérséklete, mintahőmérséklet, mérési hőmérséklet
    pt: temperatura da amostra, temperatura do ensaio, temperatura de ensaio
"""

DENSITY_G_CM3 = """
    dns, density meas, dens meas, rho meas, rho L, rho T, dens T, gravity
    MV, D20, D23, ρ23, ρ20
    ρ, rho, ϱ, d, D, dens, SW, WPG, wt per gal
    en: specific mass, specific weight, bulk density, true density, density, mass density,
        wet density, paint density, density of paint, liquid density, density measured,
        density at 23, density at 20, density at 23 °C, density at 20 °C, density ρ, density result,
        weight per volume, weight per gallon, weight per litre, mass per volume, mass per gallon,
        volumetric mass, density of the paint, wet paint density, paint weight, density (wet),
        measured wet density, density of sample, mean density
    de: Dichte, Massendichte, Lackdichte, Nassdichte, Flüssigdichte, Dichte bei 23 °C,
        Dichte bei 20 °C, Dichte ρ, Messwert Dichte, Litergewicht, Rohdichte, spezifisches Gewicht,
        spez Gewicht, Dichte der Probe, Wichte, Dichte (nass), gemessene Dichte, Dichte des Lackes,
        Lackgewicht
    fr: densité, masse volumique, densité de la peinture, masse volumique à 23 °C,
        masse volumique à 20 °C, poids spécifique, masse vol, densité mesurée, densité à 23 °C,
        densité à 20 °C, masse volumique mesurée, masse volumique de la peinture, MV,
        densité du produit
    es: densidad, masa volumétrica, masa específica, densidad de la pintura, densidad a 23 °C,
        densidad a 20 °C, peso específico, densidad medida, masa volúmica, densidad de pintura,
        densidad de la muestra, densidad húmeda, dens.
    it: densità, massa volumica, peso specifico, densità della pittura, densità a 23 °C,
        densità a 20 °C, densità misurata, densità della vernice, densità del campione,
        dens.
    pl: gęstość, gęstość farby, gęstość próbki, ciężar właściwy, masa właściwa, gęstość w 23 °C,
        gęstość w 20 °C, gęst., gęstość mokra, gęstość zmierzona, masa objętościowa
    nl: dichtheid, soortelijke massa, soortelijk gewicht, volumieke massa, verfdichtheid,
        dichtheid bij 23 °C, dichtheid bij 20 °C, litergewicht, dichth., natte dichtheid,
        gemeten dichtheid, dichtheid verf, dichtheid monster
    cs: hustota, měrná hmotnost, objemová hmotnost, hustota barvy, hustota při 23 °C,
        hustota při 20 °C, hustota vzorku, hust., naměřená hustota, hustota nátěrové hmoty,
        hustota mokré barvy
    hu: sűrűség, mért sűrűség, festék sűrűsége, minta sűrűsége, fajsúly
    pt: densidade, massa volúmica, massa específica, densidade da tinta
"""

STATE = """
    en: sample condition, condition of sample, sample conditioning, state, condition, conditioning,
        treatment, pretreatment, sample state, state of sample, sample treatment, preparation,
        sample preparation, degassing, vacuum, what, kind, sample type, type of sample,
        status of sample, sample prep, deaeration, mixing state, degassed, stirred or deaerated
    de: Zustand, Probenzustand, Vorbehandlung, Behandlung, Probenvorbereitung, Vorbereitung,
        Konditionierung, Entlüftung, Vakuum, Art der Probe, Probenart, Probenzust, Probenbehandlung,
        Entgasung, Aufbereitung
    fr: état, état de l'échantillon, traitement, prétraitement, préparation, conditionnement,
        dégazage, vide, type d'échantillon, désaération, état échantillon,
        traitement de l'échantillon
    es: estado, estado de la muestra, tratamiento, pretratamiento, preparación, acondicionamiento,
        desgasificación, desaireación, vacío, tipo de muestra, tratamiento de la muestra,
        desaireado, acondicionado
    it: stato, stato del campione, trattamento, pretrattamento, preparazione, condizionamento,
        degasaggio, disaerazione, vuoto, tipo di campione, trattamento del campione, degassamento
    pl: stan, stan próbki, obróbka, przygotowanie, przygotowanie próbki, kondycjonowanie,
        odpowietrzenie, odgazowanie, próżnia, rodzaj próbki, stan farby, postępowanie, odgazowywanie
    nl: toestand, staat, monstertoestand, behandeling, voorbehandeling, voorbereiding,
        monstervoorbereiding, conditionering, ontluchting, ontgassing, vacuüm, soort monster,
        conditie, monsterbehandeling, ontlucht
    cs: stav, stav vzorku, úprava, příprava, příprava vzorku, předúprava, kondicionování,
        odvzdušnění, odplynění, vakuum, druh vzorku, stav barvy, zpracování, ošetření, úprava vzorku
    pt: estado, estado da amostra, tratamento, pré-tratamento, preparação, condicionamento,
        desgaseificação, vácuo
"""

STATE_VALUES = (
    """
    as mixed =
        pt: após mistura, após a mistura, como misturada, recém-misturada, acabada de misturar,
            não desgaseificada, não desgaseificado, sem vácuo, após agitação, após dispersor
        en: after dissolver, from dissolver, from the dissolver, straight from dissolver
        de: nach Dissolver, nach dem Dissolver, vom Dissolver, aus dem Dissolver, frisch vom Dissolver
        fr: après disperseur, après le disperseur, sortie disperseur
        es: tras dispersor, tras el dispersor, después del dispersor
        it: dopo dissolutore, dopo il dissolutore
        nl: na dissolver, na de dissolver
        pl: po dissolverze
        cs: po dissolveru, po disolveru
        nl: direct na roeren, direct na het roeren, meteen na roeren, direct na mengen
        en: directly after stirring, right after stirring, immediately after stirring,
            directly after mixing, immediately after mixing
        de: direkt nach dem Rühren, unmittelbar nach dem Rühren, direkt nach dem Mischen, sofort nach dem Rühren
        fr: juste après agitation, juste après mélange
        it: subito dopo agitazione, appena agitato
        es: justo tras agitar, recién batido
        pl: zaraz po mieszaniu, bezpośrednio po mieszaniu
        cs: hned po míchání, ihned po míchání
        cs: po smíchání, po zamíchání, čerstvá, čerstvě smíchaná, míchaná, míchaný, zamíchaný,
            zamíchaná, zamícháno, po promíchání, promícháno, mícháno, smícháno, namícháno,
            neodvzdušněno, neodplyněno, neodplyněná, před odvzdušněním, bez odvzdušnění,
            čerstvě zamíchaná, bez vakua
        pl: po wymieszaniu, po zmieszaniu, mieszana, mieszany, po mieszaniu, zaraz po wymieszaniu,
            świeżo po wymieszaniu, świeżo zmieszana, zmieszana, bez odpowietrzania,
            nieodpowietrzony, nieodgazowany, przed odpowietrzeniem, przed próżnią, jak wymieszano
        nl: na het mengen, vers gemengd, geroerd, na roeren, na het roeren, vers geroerd,
            zoals geroerd, niet ontgast, onontlucht, zonder vacuüm, voor vacuüm, voor ontluchten,
            met luchtbellen, na dispergeren, gemengde verf
        it: dopo la miscelazione, agitato, agitata, dopo agitazione, miscelata, fresca,
            non disaerato, non disaerata, non degassato, non degasata, senza vuoto, prima del vuoto,
            appena mescolato, mescolato, mescolata, dopo dispersione
        es: tras la mezcla, recién mezclada, agitado, agitada, tras agitar, recién agitado,
            mezclada, fresca, sin desairear, sin desgasear, sin vacío, antes de vacío,
            recién dispersado, tal como se mezcla
        en: fresh, freshly mixed, straight after mixing, mixed, just mixed, after mixing,
            from mixer, from the mixer, as is, as received, with air, aerated, undegassed,
            not degassed, not deaerated, untreated, stirred, as stirred, after stirring,
            freshly stirred, mixed in, straight from mixer, air-containing, aerated paint,
            after dispersing, after dispersion, as dispersed, with entrapped air, not evacuated,
            without vacuum, unconditioned, before vacuum, before degassing, before deaeration
        de: gemischt, frisch, frisch gemischt, nach dem Mischen, wie gemischt, angemischt, mit Luft,
            unbehandelt, nicht entlüftet, vom Mischer, lufthaltig, gerührt, frisch gerührt,
            nach dem Rühren, nach Rühren, nicht entgast, unentlüftet, nach Dispergieren,
            nach dem Dispergieren, wie angeliefert, ohne Vakuum, vor Vakuum, vor dem Entlüften,
            vor Entlüftung, mit Lufteinschluss, luftbeladen
        fr: mélangé, frais, fraîchement mélangé, après mélange, tel quel, avec air, non dégazé,
            non traité, agité, agitée, après agitation, mélangée, fraîche, brut, non désaéré,
            non désaérée, non dégazée, en l'état, tel que mélangé, avant vide, avant dégazage,
            après dispersion, sans dégazage
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
        pt: desgaseificada, desgaseificado, desarejada, desarejado, sem ar, sob vácuo, após vácuo,
            vácuo, centrifugada, centrifugado, desgaseificada sob vácuo, desaerada, desaerado
        en: degassed, de-aired, air free, airfree, without air, vacuum, vacuumed, evacuated,
            under vacuum, after vacuum, centrifuged, debubbled, vac, deaerated under vacuum,
            degassed under vacuum, vacuum degassed, vacuum deaerated, after degassing,
            after deaeration, after evacuation, de-aerated, spun, deairated
        de: entlüftet, entgast, luftfrei, ohne Luft, Vakuum, evakuiert, nach Vakuum, zentrifugiert,
            vakuumiert, vakuumentlüftet, im Vakuum entlüftet, im Vakuum entgast, vakuumentgast,
            nach Entlüftung, nach dem Entlüften, nach Entgasung, unter Vakuum, geschleudert,
            abzentrifugiert, evakuiert 10 min, entlüftet (Vakuum)
        fr: dégazé, désaéré, sans air, sous vide, vide, après vide, centrifugé, dégazée, désaérée,
            dégazé sous vide, désaéré sous vide, après dégazage, après désaération, centrifugée,
            débullé
        es: desgasificado, desaireado, sin aire, vacío, al vacío, tras vacío, centrifugado,
            desgasificada, desaireada, desgaseado, desgasado, desaireado al vacío,
            desgasificado al vacío, tras desairear, tras desgasificar, tras el vacío, centrifugada
        it: degasato, disaerato, senza aria, vuoto, sotto vuoto, dopo vuoto, centrifugato, degasata,
            disaerata, degassato, degassata, disaerato sotto vuoto, degasato sotto vuoto,
            dopo degasaggio, dopo disaerazione, centrifugata
        pl: odpowietrzona, odpowietrzony, odgazowana, odgazowany, bez powietrza, próżnia, po próżni,
            odwirowana, po odpowietrzeniu, po odgazowaniu, odpowietrzono, odpowietrzona próżniowo,
            odgazowana próżniowo, pod próżnią, odpowietrzone, odwirowany
        nl: ontlucht, ontgast, zonder lucht, luchtvrij, vacuüm, na vacuüm, gecentrifugeerd,
            ontlucht onder vacuüm, ontgast onder vacuüm, na ontluchten, na ontgassen,
            na ontluchting, onder vacuüm, vacuüm ontlucht, ontluchte verf
        cs: odvzdušněný, odvzdušněná, odplyněný, odplyněná, bez vzduchu, vakuum, po vakuu,
            odstředěný, odvzdušněno, odplyněno, odvzdušněné, po odvzdušnění, po odplynění,
            odvzdušněno ve vakuu, odvzdušněná ve vakuu, ve vakuu, odstředěná, odstředěno;
    rested =
        pt: em repouso, após repouso, repousada, repousado, min de repouso, h de repouso
        en: at rest, after rest, resting, stood, left standing, standing, settled, after standing,
            rested sample, min rest, min of rest, h rest, h of rest
        de: geruht, gestanden, abgestanden, nach Ruhe, nach Standzeit, nach Ruhezeit, ruhend,
            ruhen gelassen, min Ruhe, min Ruhezeit, h Ruhe, h Ruhezeit, min geruht
        fr: reposé, au repos, après repos, reposée, min de repos, h de repos
        es: reposado, en reposo, tras reposo, reposada, min de reposo, h de reposo
        it: riposato, a riposo, dopo riposo, riposata, min di riposo, h di riposo
        pl: odstana, odstany, po odstaniu, w spoczynku, odstane, odstawiona, min odstania,
            min spoczynku, h spoczynku
        nl: gerust, na rust, in rust, na staan, gestaan, min rust, uur rust, min gestaan
        cs: odstátý, odstátá, po odstání, v klidu, odleželý, odstáté, ustálená, odstáno,
            min klidu, h klidu, min odstání;
    water =
        H2O
        pt: água, água destilada, água desionizada, água pura
        en: distilled water, deionised water, deionized water, demineralised water, pure water,
            check, water check, calibration, reference water, DI water, distilled, water distilled,
            control water, water reference, check water
        de: Wasser, destilliertes Wasser, dest Wasser, VE-Wasser, deionisiertes Wasser,
            Kontrolle Wasser, Prüfwasser, Reinstwasser, Wasser dest, Wasser (Kontrolle),
            Kontrollwasser
        fr: eau, eau distillée, eau déminéralisée, eau désionisée, eau pure, eau déminée,
            contrôle eau, eau de contrôle
        es: agua, agua destilada, agua desionizada, agua desmineralizada, agua pura, agua destil,
            control agua
        it: acqua, acqua distillata, acqua deionizzata, acqua demineralizzata, acqua pura,
            acqua dist, controllo acqua
        pl: woda, woda destylowana, woda dejonizowana, woda demineralizowana, woda dest,
            kontrola woda
        nl: gedestilleerd water, gedemineraliseerd water, demiwater, zuiver water, controle water,
            gedestilleerd
        cs: voda, destilovaná voda, deionizovaná voda, demineralizovaná voda, destil. voda,
            voda destilovaná, kontrola voda;
"""
    + NOT_STATED
)

ELAPSED_S = """
    t rest, t stand, t, Δt
    min {min}, minutes [min], mins [min], Minuten [min], minuti [min], minuty [min], minuten [min], hours [h],
    Stunden [h], rest {min}, rest {h}, stand {min}, stand {h}, age {min}, age {h}, Ruhe {min}, Ruhe {h}, repos {min},
    repos {h}, reposo {min}, riposo {min}, rust {min}, klid {min}, spoczynek {min}
    en: time from mixing, time after mix, since mixing, after mixing, at rest, of rest,
        after stirring, rest, rest time, resting time, time at rest, time after mixing,
        time since mixing, minutes after mixing [min], min after mixing [min], standing time, age,
        minutes since mixing [min], min since mixing [min], minutes at rest [min],
        minutes after stirring [min], hours at rest [h], days after mixing [day],
        age of paint, elapsed, elapsed time, waiting time, wait, hold time, time since mix,
        stood for, rested for, rest period, time, time after stirring, time since stirring,
        rest after mixing, rest since mixing, rest after stirring, resting time after mixing,
        standing time after mixing, time of rest, min after mixing, h after mixing [h],
        hours after mixing [h], hours since mixing [h], stand time, time standing, left standing,
        mix to measurement, time from stirring, time elapsed after mixing, rest duration
    de: Ruhe, Ruhezeit, Standzeit, Stehzeit, Zeit nach Mischen, Zeit nach dem Mischen,
        Zeit seit Mischen, Zeit seit dem Mischen, Minuten nach dem Mischen [min], Wartezeit, Alter,
        Minuten seit dem Mischen [min], Minuten Ruhe [min], Stunden seit dem Mischen [h],
        Stunden Ruhe [h],
        verstrichene Zeit, Zeit, Ruhedauer, Standdauer, Ruhezeit nach Mischen,
        Ruhezeit nach dem Mischen, Ruhe nach Mischen, Standzeit nach Mischen,
        Standzeit nach dem Mischen, Zeit nach dem Rühren, Zeit seit dem Rühren, Zeit nach Rühren,
        Ruhezeit nach dem Rühren, Stunden nach dem Mischen [h], gestanden, Ruhen, Abstehzeit
    de: nach dem Mischen, seit dem Mischen, nach Mischen, nach dem Rühren, in Ruhe
    fr: après mélange, après le mélange, de repos, depuis le mélange, repos après mélange,
        repos depuis le mélange, temps de repos après mélange, durée de repos après mélange,
        durée depuis le mélange, temps après agitation, temps depuis agitation,
        repos après agitation, délai après mélange, délai, minutes après mélange [min],
        heures après mélange [h], minutes depuis le mélange [min], heures depuis le mélange [h],
        minutes de repos [min], heures de repos [h]
    es: después de mezclar, tras la mezcla, de reposo, reposo desde la mezcla,
        reposo tras la mezcla, reposo después de mezclar, tiempo de reposo tras la mezcla,
        tiempo desde el mezclado, reposo desde mezclado, tiempo tras agitar,
        minutos tras la mezcla [min], horas tras la mezcla [h], tiempo reposo,
        minutos desde la mezcla [min], horas desde la mezcla [h], minutos de reposo [min]
    it: dopo la miscelazione, dopo miscelazione, di riposo, riposo dopo la miscelazione,
        riposo dopo miscelazione, riposo dalla miscelazione, tempo di riposo dopo miscelazione,
        tempo dopo agitazione, tempo dalla preparazione, attesa, minuti dopo miscelazione [min],
        ore dopo miscelazione [h], tempo riposo,
        minuti dalla miscelazione [min], ore dalla miscelazione [h], minuti di riposo [min]
    pl: po wymieszaniu, po zmieszaniu, spoczynku, odstanie po wymieszaniu, czas odstawienia,
        czas odstania po wymieszaniu, spoczynek, spoczynek po wymieszaniu, czas od mieszania,
        czas po mieszaniu, minuty po wymieszaniu [min], godziny po wymieszaniu [h], czas odstawania,
        minuty od wymieszania [min], godziny od wymieszania [h], czas od wymieszania
    nl: na het mengen, na mengen, rust, rusttijd na mengen, rusttijd na het mengen, rust na mengen,
        rusttijd sinds mengen, tijd na roeren, rusttijd na roeren, minuten na mengen [min],
        uren na mengen [h], staantijd, tijd in rust,
        minuten sinds mengen [min], uren sinds mengen [h], minuten rust [min]
    cs: po smíchání, po míchání, klidu, po zamíchání, doba klidu po míchání, doba klidu od míchání,
        klid po míchání, doba od zamíchání, doba po zamíchání, doba od promíchání, čas od zamíchání,
        minuty po míchání [min], hodiny po míchání [h], doba odstání po míchání, klid, odležení
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
        uplynulý čas, stání, doba stání, doba stání po míchání, doba stání po smíchání, doba ustálení
    hu: idő, eltelt idő, keverés óta eltelt idő, állási idő
    pt: tempo, tempo decorrido, tempo de repouso, repouso, tempo após mistura, tempo após agitação,
        tempo após agitar, tempo desde a mistura, minutos após mistura [min]
"""

UNCERTAINTY_G_CM3 = """
    u(ρ), u(d), u(D), u dens, u ρ k=1, u k=1, u (k=1), k=1
    u, u ρ, u rho, u c, ±
    en: uncertainty, standard uncertainty, uncertainty of density, density uncertainty,
        combined uncertainty, combined standard uncertainty, std uncertainty, u of density,
        uncertainty (k=1), std unc, standard unc, unc
    de: Unsicherheit, Standardunsicherheit, Messunsicherheit, Unsicherheit der Dichte,
        kombinierte Unsicherheit, Unsicherh, u Dichte, Messunsich, Standardunsicherheit (k=1)
    fr: incertitude, incertitude type, incertitude-type, incertitude de la densité,
        incertitude de mesure, incert, u masse volumique, incertitude-type (k=1),
        incertitude masse volumique
    es: incertidumbre, incertidumbre típica, incertidumbre estándar, incertidumbre de la densidad,
        incert, u densidad, incertidumbre de medida
    it: incertezza, incertezza tipo, incertezza standard, incertezza della densità, incert,
        u densità, incertezza di misura
    pl: niepewność, niepewność standardowa, niepewność gęstości, niepewność pomiaru, niepewn,
        u gęstości, niepewność pomiarowa
    nl: onzekerheid, standaardonzekerheid, meetonzekerheid, onzekerheid dichtheid, onzekerh,
        u dichtheid
    cs: nejistota, standardní nejistota, nejistota hustoty, nejistota měření, nejist, u hustoty,
        nejistota typu A
"""

EXPANDED_UNCERTAINTY_G_CM3 = """
    U (k=2), U k=2, k=2, U(ρ) k=2, U ρ k=2, U ρ (k=2), ± (k=2)
    en: expanded uncertainty (k=2), expanded uncertainty k=2, uncertainty (k=2), uncertainty k=2
    de: erweiterte Unsicherheit (k=2), erweiterte Messunsicherheit (k=2), Unsicherheit (k=2),
        Messunsicherheit (k=2)
    fr: incertitude élargie (k=2), incertitude (k=2)
    es: incertidumbre expandida (k=2), incertidumbre (k=2)
    it: incertezza estesa (k=2), incertezza (k=2)
    pl: niepewność rozszerzona (k=2), niepewność (k=2)
    nl: uitgebreide onzekerheid (k=2), uitgebreide meetonzekerheid (k=2), onzekerheid (k=2)
    cs: rozšířená nejistota (k=2), nejistota (k=2)
"""

DETERMINATION = """
    en: determination, determination no, test, test no, replicate, replicate no, repeat, repeat no,
        run, run no, measurement, measurement no, reading, reading no, filling, filling no, trial,
        trial no, test number, det, det no, rep, rep no, parallel, number of determination,
        duplicate
    de: Bestimmung, Bestimmung Nr, Bestimmungsnr, Einzelbestimmung, Einzelwert, Versuch, Versuch Nr,
        Messung, Messung Nr, Einzelmessung, Wiederholung, Wiederholung Nr, Füllung, Füllung Nr,
        Doppelbestimmung, Parallele, Wdh, Wdh Nr, Best Nr, Mess Nr, Lauf, Lauf Nr, Durchgang,
        Durchgang Nr, Durchlauf, Ansatz Nr
    fr: détermination, détermination no, essai, essai no, n° d'essai, essai n°, mesure, mesure no,
        n° de mesure, mesure n°, répétition, répétition no, répétition n°, remplissage,
        détermination n°, n° de détermination, passage, passage no, passage n°, série no
    es: pasada, pasada no, determinación, determinación no, determinación núm, ensayo, ensayo no, n.º de ensayo,
        medida, medida no, medición, medición no, réplica, repetición, n.º determinación, llenado
    it: passata, passata n, determinazione, determinazione n, prova, prova n, n. prova, misura, misura n, n. misura,
        misurazione, replica, ripetizione, riempimento
    pl: oznaczenie, oznaczenie nr, nr oznaczenia, pomiar, pomiar nr, nr pomiaru, próba, próba nr,
        nr próby, powtórzenie, powtórzenie nr, nr powtórzenia, napełnienie, przebieg, przebieg nr
    nl: bepaling, bepaling nr, bepaling no, meting, meting nr, proef, proef nr, herhaling,
        herhaling nr, vulling, gang, doorgang, duplo
    cs: stanovení, stanovení č, č. stanovení, měření, měření č, č. měření, zkouška, zkouška č,
        opakování, opakování č, pokus, pokus č, plnění, průběh, průběh č
    hu: mérés, mérés száma, ismétlés, meghatározás
"""

MASS_FULL_G = """
    m plein, m voll, m pieno, m lleno, m vol, m plny, m pełny
    m2, m full, m gross, mf, m filled
    en: mass full, full, gross, gross mass, gross weight, mass filled, filled, weight filled,
        mass of full cup, weight full, full cup, full pyknometer, full pycnometer, filled cup,
        mass of filled cup, mass of cup with sample, mass of pyknometer with sample,
        mass of pycnometer with sample, cup + paint, cup and paint, cup with paint, cup + sample,
        pyknometer + sample, pycnometer + sample, pyknometer + paint, pycnometer + paint, m (full),
        weight of full cup, gross wt, mass filled pycnometer, pycno full, full pycno, mass full pycno,
        mass of full pycno, pycno + paint, pycno filled, filled pycno
    de: Masse voll, voll, brutto, Bruttomasse, Bruttogewicht, Masse gefüllt, gefüllt, Gewicht voll,
        Pyknometer voll, Pyknometer gefüllt, Masse Pyknometer gefüllt, Becher voll, Becher gefüllt,
        Masse volles Pyknometer, Pyknometer + Probe, Pyknometer mit Probe, Becher + Probe,
        Pyknometer + Lack, m gefüllt, m brutto, Pykno voll, Pykno gefüllt, Masse Pykno voll, Masse Pykno gefüllt,
        Pykno + Lack, Pykno + Probe
    fr: masse pleine, plein, brut, masse brute, poids brut, masse rempli, rempli, pycnomètre plein,
        pycnomètre rempli, pycnomètre + échantillon, coupelle pleine, godet plein,
        masse du pycnomètre plein, pycnomètre + peinture, m rempli, masse du plein,
        masse pycnomètre plein, masse pycno plein, masse du pycno plein, pycno plein, pycno rempli,
        pycno + peinture
    es: masa lleno, lleno, bruto, masa bruta, peso bruto, picnómetro lleno, picnómetro + muestra,
        masa picnómetro lleno, masa del picnómetro lleno, picnómetro con muestra,
        picnómetro + pintura, masa llena, m llena, picno lleno, masa picno lleno, masa del picno lleno
    it: massa pieno, pieno, lordo, massa lorda, peso lordo, picnometro pieno, picnometro + campione,
        massa del picnometro pieno, picnometro con campione, picnometro + pittura, massa piena,
        m pieno, picno pieno, massa picno pieno, massa del picno pieno
    pl: m piknometru pełnego, m pikn pełnego, masa pikn pełnego, masa pełnego piknometru, m pełnego,
        masa piknometru pełnego,
        masa pełnego, pełny, brutto, masa brutto, piknometr pełny, piknometr z próbką,
        masa pełnego piknometru, piknometr + próbka, piknometr z farbą, masa piknometru z próbką,
        masa pełna, m brutto
    nl: massa vol, vol, gevuld, bruto, brutomassa, brutogewicht, pyknometer vol, gevulde pyknometer,
        pyknometer + monster, massa gevulde pyknometer, pyknometer gevuld, beker vol, m gevuld
    cs: hmotnost plného, plný, brutto, hmotnost brutto, pyknometr plný, pyknometr se vzorkem,
        hmotnost plného pyknometru, pyknometr + vzorek, hmotnost pyknometru se vzorkem, m plný,
        hmotnost plná
    hu: tele, tele tömeg, tele piknométer, piknométer tele, bruttó tömeg
"""

MASS_EMPTY_G = """
    m vide, m leer, m vuoto, m vacío, m leeg, m prázdný, m pusty
    m1, m empty, m tare, me
    en: mass empty, empty, tare, tare mass, tare weight, mass of empty cup, weight empty, empty cup,
        empty pyknometer, empty pycnometer, mass of empty pyknometer, mass of empty pycnometer,
        cup empty, mass of cup, pyknometer empty, pycnometer empty, m (empty), empty wt,
        mass of empty, pycno empty, empty pycno, mass empty pycno, mass of empty pycno
    de: Masse leer, leer, Tara, Taramasse, Taragewicht, Leergewicht, Leermasse, Gewicht leer,
        Pyknometer leer, Masse Pyknometer leer, Becher leer, Masse leeres Pyknometer, m Tara,
        Pykno leer, Masse Pykno leer
    fr: masse vide, vide, tare, poids à vide, masse à vide, pycnomètre vide, godet vide, coupelle vide,
        masse du pycnomètre vide, masse du vide, masse pycnomètre vide, m tare,
        masse pycno vide, masse du pycno vide, pycno vide
    es: masa vacío, vacío, vacía, tara, peso tara, peso vacío, picnómetro vacío, masa picnómetro vacío,
        masa del picnómetro vacío, masa vacía, m vacía, picno vacío, masa picno vacío, masa del picno vacío
    it: massa vuoto, vuoto, vuota, tara, peso tara, peso a vuoto, picnometro vuoto, massa del picnometro vuoto,
        massa vuota, m tara, picno vuoto, massa picno vuoto, massa del picno vuoto
    pl: masa pustego, pusty, tara, masa tary, piknometr pusty, masa pustego piknometru, masa pusta,
        m piknometru pustego, m pikn pustego, masa pikn pustego, m pustego, masa piknometru pustego, pikno puste
    nl: massa leeg, leeg, tarra, tarragewicht, leeggewicht, pyknometer leeg, lege pyknometer,
        massa lege pyknometer, beker leeg, m tarra, pykno leeg, lege pykno, massa pykno leeg
    cs: hmotnost prázdného, prázdný, tára, pyknometr prázdný, prázdný pyknometr,
        hmotnost prázdného pyknometru, m prázdného, hmotnost prázdná, pykno prázdné
    hu: üres, üres tömeg, üres piknométer, piknométer üres, tára
"""

MASS_SAMPLE_G = """
    m, m3, m sample, m net, mn, net in cup
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

MASS_DISPLACED_G = """
    en: buoyancy, upthrust, buoyant mass, displaced mass, mass displaced, apparent loss of mass,
        plummet reading, plunger reading, displaced, displacement, uplift, reading of the balance
    de: Auftrieb, Auftrieb Tauchkörper, Auftrieb des Tauchkörpers, verdrängte Masse, verdrängt,
        Verdrängung, Auftriebsmasse
    fr: poussée, poussée d'Archimède, masse déplacée, déplacé
    es: empuje, masa desplazada, desplazado, empuje hidrostático
    it: spinta, spinta di Archimede, massa spostata, spinta idrostatica
    pl: wypór, masa wyparta, wyparto, siła wyporu
    nl: opdrijvende kracht, opwaartse kracht, opdrijving, verplaatste massa, verplaatst
    cs: vztlak, vytlačená hmotnost, vytlačeno
"""

VOLUME_CM3 = """
    V, vol, V cup, Vp, V body, V plummet, V cal, V sinker, Vol.
    en: body volume, volume of body, plummet volume, plunger volume, volume of plummet,
        volume of plunger, sinker volume, sphere volume, volume of sphere, sinker vol, plummet vol,
        volume of sinker, body vol, sphere vol, bob volume
    de: Senkkörpervolumen, Volumen Senkkörper, Volumen Körper, Volumen Tauchkörper, Tauchkörpervolumen, Körpervolumen, Kugelvolumen,
        Becherinhalt, Inhalt Becher
    fr: volume corps, volume du corps, volume plongeur, volume du plongeur, volume de la sphère
    es: volumen del cuerpo, volumen cuerpo, volumen del inmersor
    it: volume del corpo, volume corpo, volume dell'affondatore
    pl: objętość ciała, objętość nurnika, objętość kuli
    nl: volume lichaam, volume dompellichaam, inhoud beker, bekerinhoud, volume kogel
    cs: objem tělesa, objem ponorného tělesa, objem koule
    en: volume, cup volume, volume of cup, pyknometer volume, pycnometer volume,
        volume of pyknometer, volume of pycnometer, capacity, nominal volume, calibrated volume,
        sample volume, volume of the pycnometer, pycnometer vol, V pycnometer, cup vol
    de: Volumen, Bechervolumen, Pyknometervolumen, Volumen Pyknometer, Volumen des Pyknometers,
        Inhalt, Nennvolumen, Probenvolumen, Rauminhalt, V Pyknometer, Volumen d. Pyknometers
    fr: volume, volume du pycnomètre, volume pycnomètre, volume du godet, contenance,
        volume nominal, capacité, V pycnomètre, volume pycno
    es: volumen, volumen del picnómetro, volumen picnómetro, capacidad, volumen nominal,
        V picnómetro, volumen picno
    it: volume, volume del picnometro, volume picnometro, capacità, volume nominale, V picnometro
    pl: objętość, objętość piknometru, pojemność, pojemność piknometru, V piknometru,
        obj. piknometru
    nl: volume, pyknometervolume, volume pyknometer, inhoud, bekervolume, nominaal volume,
        V pyknometer, inhoud pyknometer
    cs: objem, objem pyknometru, jmenovitý objem, V pyknometru, objem nádoby
"""

BESIDE = """
    set temp, set T, T set, Solltemperatur, T soll, temp set, temperature set, consigne, nastawa
    N avg, n avg, quality, q, stat, vcorr, visc corr, eq crit, per, tau, damping, p
    per, flow, flow rate, debit, Durchfluss, debiet, portata, przepływ, průtok
    Gebinde, container, pack size, pack, emballage, confezione, envase, opakowanie, verpakking, obal
    nichtflüchtiger Anteil, non-volatile matter, non volatile content, solids content, Mahlfeinheit,
    fineness of grind, extrait sec, finesse, residuo secco, finezza
    SG, s g, sp gr, d20/4, d 20/4, WPL
    en: repeat dev, repeatability, damping, specific gravity, relative density, viscosity, sound velocity, oscillation period, period,
        frequency of oscillation, air content, entrapped air, air, deviation, room temperature,
        ambient temperature, humidity, relative humidity, pressure, vacuum pressure, method,
        standard, target, limit, nominal, specification, mean, average, sd, std dev,
        standard deviation, balance, air buoyancy, solids
    de: relative Dichte, Dichteverhältnis, Viskosität, Schwingungsdauer, Periode, Luftgehalt, Lufteinschluss,
        Lufteinschlüsse, Luftanteil, eingeschlossene Luft, Luft, Luftblasenanteil, Abweichung,
        Raumtemperatur, Umgebungstemperatur, Luftfeuchte, relative Feuchte, Druck, Luftdruck,
        Methode, Norm, Sollwert, Grenzwert, Mittelwert, Standardabweichung, Waage, Luftauftrieb,
        Festkörper
    fr: densité relative, viscosité, teneur en air, air occlus, air inclus, air entraîné, écart, température ambiante, humidité,
        pression, méthode, norme, moyenne, écart-type, balance
    es: densidad relativa, gravedad específica, viscosidad, contenido de aire, aire atrapado, aire ocluido, aire incluido,
        desviación,        temperatura ambiente, humedad, presión, método, norma, media, desviación estándar, balanza
    it: densità relativa, gravità specifica, viscosità, contenuto d'aria, aria inclusa, aria inglobata,
        aria intrappolata, scarto,        temperatura ambiente, umidità, pressione, metodo, norma, media, deviazione standard,
        bilancia
    pl: gęstość względna, lepkość, zawartość powietrza, uwięzione powietrze, powietrze, odchylenie, temperatura otoczenia,
        wilgotność, ciśnienie, metoda, norma, średnia, odchylenie standardowe, waga laboratoryjna
    nl: relatieve dichtheid, viscositeit, luchtgehalte, ingesloten lucht, luchtinsluiting, afwijking, omgevingstemperatuur,
        luchtvochtigheid, druk, methode, norm, gemiddelde, standaardafwijking, balans
    cs: relativní hustota, viskozita, obsah vzduchu, uzavřený vzduch, vzduch, odchylka, teplota okolí, vlhkost, tlak,
        metoda, norma, průměr, směrodatná odchylka, váhy
"""
