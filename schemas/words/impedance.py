"""What the columns of impedance spectra are called."""

EXPOSURE_H = """
    t, t imm, t exp, t exposure, imm, immersion, t immersion
    en: days in brine [day], days in bath [day], days in salt water [day], days in solution [day],
        hours in brine [h], hours in bath [h], hours in salt water [h], hours in solution [h],
        hours in electrolyte [h], days in electrolyte [day], duration,
        weeks of immersion [week], time in brine, time in salt water, time in the bath,
    en: exposure, exposure time, exposure duration, exposed for, hours of exposure [h],
        exposure hours [h], immersion, immersion time, immersion duration, immersed, immersed for,
        time immersed, time of immersion, time in electrolyte, time in solution, time in bath,
        hours immersed [h], hours of immersion [h], immersion hours [h], days of immersion [day],
        days immersed [day], immersion days [day], days of exposure [day], exposure days [day],
        soak, soak time, soaking time, age, ageing time, aging time, test duration, time, hours [h],
        days [day], elapsed, elapsed time
    de: Dauer, Stunden im Bad [h], Tage im Bad [day], Stunden im Elektrolyten [h],
        Tage im Elektrolyten [day], Exposition, Expositionszeit, Expositionsdauer, Belastung, Belastungsdauer, Belastungszeit,
        Auslagerung, Auslagerungsdauer, Auslagerungszeit, Immersion, Immersionszeit,
        Immersionsdauer, Tauchzeit, Tauchdauer, Eintauchzeit, Eintauchdauer, Lagerung,
        Lagerungsdauer, Lagerzeit, Einwirkdauer, Einwirkzeit, Prüfdauer, Standzeit,
        Zeit im Elektrolyten, Zeit im Bad, eingetaucht seit, Tage in Lösung [day], Stunden in Lösung [h], Tage in NaCl [day],
        Stunden in NaCl [h], Tage im Wasser [day], Stunden [h], Tage [day], Std [h], Zeit
    fr: durée, heures dans le bain [h], jours dans le bain [day], jours en solution [day],
        heures en solution [h], jours dans l'eau [day], heures dans l'eau [h], jours dans la solution [day],
        jours en immersion [day], heures en immersion [h],
        exposition, temps d'exposition, durée d'exposition, immersion, temps d'immersion,
        durée d'immersion, heures d'immersion [h], jours d'immersion [day], durée d'essai, temps,
        heures [h], jours [day]
    es: duración, horas en el baño [h], días en el baño [day], días en solución [day],
        horas en solución [h], días en agua [day], horas en agua [h], días en inmersión [day],
        horas en inmersión [h],
        exposición, tiempo de exposición, duración de la exposición, horas de exposición [h],
        inmersión, tiempo de inmersión, duración de la inmersión, horas de inmersión [h],
        días de inmersión [day], tiempo, horas [h], días [day]
    it: durata, ore nel bagno [h], giorni nel bagno [day], giorni in acqua [day],
        ore in acqua [h], giorni in soluzione [day], ore in soluzione [h], giorni in immersione [day],
        ore in immersione [h],
        esposizione, tempo di esposizione, durata esposizione, ore di esposizione [h], immersione,
        tempo di immersione, durata immersione, ore di immersione [h], giorni di immersione [day],
        tempo, ore [h], giorni [day]
    pl: czas trwania, godziny w kąpieli [h], dni w kąpieli [day], dni w roztworze [day],
        godziny w roztworze [h], dni w wodzie [day], doby [day], doby zanurzenia [day], doby w kąpieli [day],
        doby w roztworze [day], godz w roztworze [h],
        ekspozycja, czas ekspozycji, zanurzenie, czas zanurzenia, czas immersji,
        godziny zanurzenia [h], dni zanurzenia [day], czas, godziny [h], dni [day]
    nl: duur, uren in bad [h], dagen in bad [day], dagen in oplossing [day],
        uren in oplossing [h], dagen in water [day], uren in water [h], dagen in het bad [day], uren in het bad [h],
        blootstelling, blootstellingstijd, blootstellingsduur, expositie, expositietijd, immersie,
        immersietijd, onderdompeling, onderdompelingstijd, dompeltijd, dompelduur,
        onderdompelingsduur, immersieduur, uren immersie [h],
        dagen immersie [day], tijd, uren [h], uur [h], dagen [day]
    cs: trvání, hodiny v lázni [h], dny v lázni [day], dny v roztoku [day],
        hodiny v roztoku [h], dny ve vodě [day], dnů v lázni [day], dnů v roztoku [day], hodin v roztoku [h],
        doba, expozice, doba expozice, čas expozice, ponor, doba ponoru, čas ponoru, imerze, doba imerze,
        hodiny ponoru [h], dny ponoru [day], čas, hodiny [h], dny [day]
    hu: merítési idő, bemerítési idő, áztatási idő
    pt: imersão, tempo de imersão, horas de imersão [h], dias de imersão [day]
"""

SPOT = """
    en: cells, spot, spot no, spot number, spot id, cell, cell no, cell number, measuring cell, test cell,
        place, position, location, site, point on panel, measuring spot, test area, test spot,
        electrode, channel, area no, measuring point, measurement point, place of measurement, point of measurement
    de: Zellen, Messzellen, Stelle, Messpunkt, Meßpunkt, Messstelle, Meßstelle, Messpunkt auf Platte, Zelle, Zelle Nr, Zellen-Nr, Messzelle,
        Meßzelle, Prüfstelle, Prüffläche Nr, Ort, Lage, Kanal, Elektrode
    fr: cellules, emplacement, endroit, zone, cellule, cellule no, position, site, voie, électrode,
        point de mesure, lieu de mesure, zone de mesure, emplacement de mesure
    es: celdas, lugar, posición, zona, celda, celda no, emplazamiento, sitio, canal, electrodo,
        punto de medida, punto de medición, lugar de medida, zona de medida
    it: celle, posizione, zona, cella, cella n, sito, canale, elettrodo, luogo di misura, punto di misura, zona di misura,
        posizione di misura
    pl: celi, cele, celą, miejsce, pozycja, komórka, cela, naczynko, cela nr, kanał, elektroda, miejsce pomiaru, punkt pomiarowy, punkt pomiaru,
        miejsce na płytce
    nl: cellen, meetcellen, plaats, positie, plek, cel, cel nr, meetcel, meetplaats, kanaal, elektrode, meetplek, meetpunt,
        plaats van meting
    cs: cely, cele, celou, místo, pozice, cela, cela č, měřicí cela, měřicí místo, poloha, kanál, elektroda,
        místo měření, měřicí bod, bod měření
"""

AREA_CM2 = """
    A, S, A cell
    en: area, cell area, electrode area, exposed area, wetted area, working area, test area size,
        sample area, surface area, surface, geometric area, measured area, film area, area of cell,
        area of electrode, working electrode area, active area, immersed area, area in contact, contact area,
        area of film, test area, cell opening, area of opening, measuring area, measurement area,
        area under test, area tested
    de: Fläche, Zellfläche, Messfläche, Meßfläche, Elektrodenfläche, Prüffläche, benetzte Fläche,
        exponierte Fläche, Probenfläche, aktive Fläche, Oberfläche, geometrische Fläche,
        Flächeninhalt, benetzte Oberfläche, eingetauchte Fläche, Kontaktfläche, Zellöffnung
    fr: aire, surface, surf, surface exposée, surface de cellule, surface de la cellule,
        surface d'électrode, surface active, surface mouillée, aire exposée, surface mesurée,
        aire mouillée, surface immergée, aire de la cellule, surface de contact, section de cellule,
        surface de mesure, aire de mesure, surface testée, surface d'essai
    es: área, área expuesta, área de la celda, área de celda, superficie, superficie expuesta,
        área del electrodo, área activa, superficie de la celda, superficie del electrodo, sup, sup expuesta,
        área mojada, superficie mojada, área sumergida, superficie sumergida, área de contacto,
        área de medida, área de medición, superficie de medida, superficie de medición, área de ensayo
    it: area, area esposta, area della cella, area cella, superficie, superficie esposta,
        area dell'elettrodo, area elettrodo, area attiva, superficie bagnata, area bagnata,
        area immersa, superficie immersa, superficie della cella, area di contatto, area di misura,
        superficie di misura, area misurata, superficie misurata, area di prova
    pl: powierzchnia, pow, pole powierzchni, pole, pow celi, pow próbki, powierzchnia celi, powierzchnia elektrody,
        powierzchnia eksponowana, powierzchnia badana, powierzchnia próbki, powierzchnia czynna,
        powierzchnia zwilżona, powierzchnia zanurzona, powierzchnia kontaktu, pole celi, pole pomiaru,
        pole pomiarowe, powierzchnia pomiaru, powierzchnia pomiarowa
    nl: oppervlak, oppervlakte, opp, oppervlak cel, oppervlakte cel, opp cel, celoppervlak, elektrodeoppervlak, blootgesteld oppervlak,
        meetoppervlak, actief oppervlak, geëxponeerd oppervlak, bevochtigd oppervlak,
        nat oppervlak, bevochtigde oppervlakte, blootgestelde oppervlakte, contactoppervlak, meetvlak,
        meetoppervlakte, testoppervlak
    cs: plocha, plocha cely, plocha elektrody, exponovaná plocha, měřená plocha, povrch,
        aktivní plocha, plocha vzorku, smáčená plocha, ponořená plocha, kontaktní plocha,
        měřicí plocha, plocha měření, zkoušená plocha
    pt: área exposta, área do elétrodo, área da célula
"""

CELL_DIAMETER_MM = """
    Ø cell, d cell, D cell, Ø cella, Ø cely, Ø Zelle, Ø cellule, Ø celda
    en: cell diameter, diameter of the cell, inner diameter of the cell, cell inner diameter,
        inside diameter of the cell, cell inside diameter, internal diameter of the cell,
        diameter of the exposed area, exposed diameter, exposed area diameter, wetted diameter,
        diameter of the wetted area, diameter of the opening, opening diameter, cell bore
    de: Zelldurchmesser, Durchmesser der Zelle, Innendurchmesser der Zelle, Zellinnendurchmesser,
        Innendurchmesser Zelle, Zelle innen Ø, Durchmesser der Messfläche, Durchmesser Messfläche,
        Durchmesser der Prüffläche, Durchmesser der Öffnung, Öffnungsdurchmesser
    fr: diamètre de la cellule, diamètre intérieur de la cellule, diamètre de cellule,
        diamètre exposé, diamètre de la surface exposée, diamètre de l'ouverture,
        diamètre intérieur cellule, diamètre cellule, diamètre mouillé
    es: diámetro de la celda, diámetro interior de la celda, diámetro de celda, diámetro expuesto,
        diámetro interno de la celda, diámetro del área expuesta, diámetro de la abertura
    it: diametro della cella, diametro interno della cella, diametro cella, diametro interno cella,
        diametro esposto, diametro dell'area esposta, diametro dell'apertura
    pl: średnica celi, średnica wewnętrzna celi, wewnętrzna średnica celi, średnica otworu celi,
        średnica powierzchni badanej
    nl: celdiameter, diameter van de cel, binnendiameter van de cel, binnendiameter cel,
        diameter van het blootgestelde oppervlak, diameter van de opening
    cs: průměr cely, vnitřní průměr cely, průměr exponované plochy, průměr otvoru cely
"""

THICKNESS_UM = """
    DFT, d film, TSD, EPS, FT, d DFT
    en: thickness, film thickness, dry film thickness, dry film, coating thickness, paint thickness,
        layer thickness, mean thickness, mean DFT, average DFT, total thickness, total DFT,
        dry coat, dry coating, dry paint, dry thickness
    de: Dicke, Schichtdicke, Trockenschichtdicke, Filmdicke, Trockenfilmdicke,
        Beschichtungsdicke, Gesamtschichtdicke, mittlere Schichtdicke, Schichtstärke, Lackdicke,
        Trockenschicht, Trockenfilm, Schichtd, Trockenschichtd, trockene Schicht, Schicht trocken
    fr: épaisseur, épaisseur du film, épaisseur de film sec, épaisseur sèche, épaisseur du feuil,
        épaisseur du feuil sec, épaisseur du revêtement, épaisseur de couche, film sec, feuil sec,
        ép film sec, ép sèche, ép, couche sèche, EFS
    es: espesor, espesor de película, espesor de película seca, espesor seco, espesor de capa,
        espesor del recubrimiento, espesor de pintura, grosor, película seca, esp seco, capa seca,
        esp película seca
    it: spessore, spessore film, spessore del film, spessore film secco, spessore secco,
        spessore del rivestimento, spessore vernice, spessore strato, film secco, strato secco,
        spess secco, spess film secco, sp secco
    pl: grubość, grubość powłoki, grubość suchej powłoki, grubość filmu, grubość warstwy,
        grubość na sucho, GSP, sucha powłoka, sucha warstwa, gr powłoki, grub powłoki,
        grubość suchej warstwy, grubość suchego filmu
    nl: dikte, laagdikte, droge laagdikte, filmdikte, drogefilmdikte, verflaagdikte, coatingdikte,
        droge film, droge laag, DLD
    cs: tloušťka, tloušťka filmu, tloušťka suchého filmu, tloušťka povlaku, tloušťka nátěru,
        tloušťka vrstvy, suchý film, suchá vrstva, suchý nátěr, tl povlaku, tl filmu, tl nátěru, tl vrstvy,
        tloušťka suché vrstvy, tloušťka suchého povlaku, tloušťka suchého nátěru
"""

FREQUENCY_HZ = """
    f, freq, frq, F ac, f ac, ν, nu
    en: frequency, frequencies, test frequency, measuring frequency, measurement frequency,
        ac frequency, excitation frequency, signal frequency, sweep frequency, freq point,
        applied frequency, frequency f, set frequency
    de: Frequenz, Messfrequenz, Meßfrequenz, Anregungsfrequenz, Prüffrequenz, Signalfrequenz,
        Erregerfrequenz, Wechselfrequenz, Frequenz f
    fr: fréquence, fréq, fréquence de mesure, fréquence d'excitation, fréquence du signal
    es: frecuencia, frec, frecuencia de medida, frecuencia de medición, frecuencia de excitación
    it: frequenza, freq, frequenza di misura, frequenza di eccitazione, frequenza del segnale
    pl: częstotliwość, częst, częstość, częstotliwość pomiarowa, częstotliwość pomiaru,
        częstotliwość sygnału
    nl: frequentie, meetfrequentie, excitatiefrequentie, signaalfrequentie
    cs: frekvence, kmitočet, měřicí frekvence, frekvence měření, měřicí kmitočet, frekvence signálu
    hu: frekvencia
    pt: frequência
"""

Z_REAL_OHM = """
    Z', Re, Re Z, Re(Z), Z re, Zre, Zr, Z r, Z real, real Z, R, Rs, R s, Z' (real), Re Z', ReZ',
    Z1, ℜ(Z), ℜ Z, Z rl, Z prime, Z rzecz, Z reál
    en: real, real part, real part Z, real part of Z, real part of impedance, real impedance,
        real component, impedance real, impedance real part, in-phase impedance, in phase,
        impedance in phase, resistance, series resistance, Z in phase, real axis, Z' real part
    de: Realteil, Realteil Z, Realteil von Z, Realteil der Impedanz, reelle Impedanz, Realanteil,
        Impedanz Realteil, Impedanz real, reell, Z reell, Wirkwiderstand, Wirkanteil, Resistanz,
        Serienwiderstand, Realteil Impedanz, Wirkteil
    fr: partie réelle, partie réelle Z, partie réelle de Z, partie réelle de l'impédance, réel,
        réelle, Z réel, Z réelle, impédance réelle, composante réelle, résistance, résistance série
    es: parte real, parte real Z, parte real de Z, parte real de la impedancia, Z real,
        impedancia real, componente real, resistencia, resistencia serie
    it: parte reale, parte reale Z, parte reale di Z, parte reale dell'impedenza, reale, Z reale,
        impedenza reale, componente reale, resistenza, resistenza serie
    pl: część rzeczywista, część rzeczywista Z, część rzeczywista impedancji, rzeczywista,
        Z rzeczywiste, impedancja rzeczywista, składowa rzeczywista, składowa czynna, rezystancja
    nl: reëel, reëel deel, reële deel, reëel deel Z, reëel deel van Z, reëel deel impedantie,
        reële impedantie, reële component, Z reëel, weerstand, serieweerstand
    cs: reálná část, reálná část Z, reálná část impedance, reálná složka, reálná, Z reálná,
        reálná impedance, činná složka, odpor, rezistance, sériový odpor
    hu: valós rész
"""

Z_IMAG_OHM = """
    Z'', Im, Im Z, Im(Z), Z im, Zim, Zi, Z i, Z imag, imag Z, imag, X, Xs, X s, Im Z'', Z'' (imag),
    Z2, ℑ(Z), ℑ Z, Z double prime, Z img, Z'' imag, Z immag, Z imagin, Z uroj, Im. Z, Z im.
    en: imaginary, imaginary part, imaginary part Z, imaginary part of Z,
        imaginary part of impedance, imaginary impedance, imaginary component, impedance imaginary,
        impedance imag, impedance imaginary part, out of phase, quadrature, Z quadrature,
        impedance out of phase, reactance, series reactance, imaginary axis, Z imaginary
    de: Imaginärteil, Imaginärteil Z, Imaginärteil von Z, Imaginärteil der Impedanz,
        imaginäre Impedanz, Imaginäranteil, Impedanz Imaginärteil, imaginär, Z imaginär,
        Blindwiderstand, Blindanteil, Reaktanz, Imaginärteil Impedanz, Impedanz imaginär, Blindteil
    fr: partie imaginaire, partie imaginaire Z, partie imaginaire de Z,
        partie imaginaire de l'impédance, imaginaire, Z imaginaire, impédance imaginaire,
        composante imaginaire, réactance
    es: parte imaginaria, parte imaginaria Z, parte imaginaria de Z,
        parte imaginaria de la impedancia, imaginaria, imaginario, Z imaginaria, Z imaginario,
        impedancia imaginaria, componente imaginaria, reactancia
    it: parte immaginaria, parte immaginaria Z, parte immaginaria di Z,
        parte immaginaria dell'impedenza, immaginaria, immaginario, Z immaginaria,
        Z immaginario, impedenza immaginaria, componente immaginaria, reattanza
    pl: część urojona, część urojona Z, część urojona impedancji, urojona, Z urojone,
        impedancja urojona, składowa urojona, składowa bierna, reaktancja
    nl: imaginair, imaginair deel, imaginaire deel, imaginair deel Z, imaginair deel van Z,
        imaginair deel impedantie, imaginaire impedantie, imaginaire component, Z imaginair,
        reactantie
    cs: imaginární část, imaginární část Z, imaginární část impedance, imaginární složka,
        imaginární, Z imaginární, imaginární impedance, jalová složka, reaktance
    hu: képzetes rész
"""

Z_MODULUS_OHM = """
    |Z|, Z, Z mod, Zmod, mod Z, mod(Z), Z abs, abs Z, abs(Z), Z mag, mag Z, Z0, Zm, Z m, Z*,
    Z modulus,
    Z magnitude, Z module, Z absolute, Z betrag
    en: modulus, impedance modulus, modulus of impedance, modulus Z, modulus of Z, magnitude,
        magnitude Z, magnitude of Z, impedance magnitude, magnitude of impedance,
        absolute impedance, impedance, absolute value, absolute value of Z, total impedance, mag,
        mod, amplitude Z, impedance abs
    de: Betrag, Betrag Z, Betrag von Z, Betrag der Impedanz, Impedanzbetrag, Impedanz,
        Scheinwiderstand, Betrag Impedanz, Absolutwert, Absolutwert Z, Modul, Impedanz Betrag
    fr: module, module Z, module de Z, module de l'impédance, module d'impédance, impédance,
        valeur absolue, amplitude de Z
    es: módulo, módulo Z, módulo de Z, módulo de la impedancia, módulo de impedancia, impedancia,
        magnitud, magnitud de Z, valor absoluto
    it: modulo, modulo Z, modulo di Z, modulo dell'impedenza, modulo impedenza, impedenza,
        valore assoluto, ampiezza Z
    pl: moduł, moduł Z, moduł impedancji, impedancja, wartość bezwzględna,
        wartość bezwzględna impedancji
    nl: modulus Z, modulus impedantie, impedantie, absolute waarde, grootte, magnitude Z,
        impedantiemodulus, absolute impedantie
    cs: modul, modul Z, modul impedance, impedance, absolutní hodnota, absolutní hodnota impedance,
        velikost impedance
    hu: abszolút érték, impedancia abszolút értéke
"""

PHASE_DEG = """
    arg deg, phase deg, phi deg, theta deg, ang, ang deg, phs, pha
    theta, Arg, θ, ϑ, phi, φ, ϕ, Φ, arg Z, arg(Z), ∠Z, Z phase, Z theta, Z phi, θz, φz, Z phz, phz, Z ph, Zφ, Zθ
    en: phase, phase angle, phase shift, phase of Z, phase Z, phase of impedance, impedance phase,
        impedance phase angle, phase difference, argument, argument of Z, angle, angle of Z, lag,
        phase lag, phase theta, phase phi
    de: Phase, Phasenwinkel, Phasenverschiebung, Phase Z, Phase von Z, Phase der Impedanz,
        Phasenverschiebungswinkel, Impedanzphase, Phasendifferenz, Winkel, Phasenlage, Argument Z
    fr: phase, déphasage, angle de phase, phase de Z, phase de l'impédance, angle de déphasage,
        argument de Z, angle
    es: fase, ángulo de fase, desfase, desfasaje, fase de Z, fase Z, fase de la impedancia, ángulo,
        ángulo de desfase
    it: fase, angolo di fase, sfasamento, fase di Z, fase Z, fase dell'impedenza, angolo,
        angolo di sfasamento
    pl: faza, kąt fazowy, przesunięcie fazowe, faza Z, faza impedancji, kąt przesunięcia fazowego,
        kąt, argument Z
    nl: fase, fasehoek, faseverschuiving, fase Z, fase van Z, fase impedantie, hoek, fasedraaiing
    cs: fáze, fázový úhel, fázový posun, fáze Z, fáze impedance, úhel fáze, fázový posuv, úhel
    hu: fázis, fázisszög
"""

OMEGA_RAD_S = """
    omega, ω, w, 2πf, 2 pi f, 2pi*f, 2 × π × f, omega f, ang freq
    en: angular frequency, radian frequency, circular frequency, angular freq, angular velocity,
        ang. frequency, pulsatance
    de: Kreisfrequenz, Winkelfrequenz, Kreisfrequenz omega
    fr: pulsation, fréquence angulaire, vitesse angulaire
    es: frecuencia angular, pulsación, velocidad angular
    it: pulsazione, frequenza angolare, velocità angolare
    pl: pulsacja, częstość kołowa, częstotliwość kątowa, częstość kątowa, prędkość kątowa
    nl: hoekfrequentie, cirkelfrequentie, hoeksnelheid
    cs: úhlová frekvence, kruhová frekvence, úhlový kmitočet, kruhový kmitočet
"""

Y_REAL_S = """
    Y', Re Y, Re(Y), Y re, Yre, Yr, Y real, real Y, G, Gp, ℜ(Y), Y prime
    en: real part of Y, real part Y, real part of admittance, real admittance, admittance real,
        conductance, parallel conductance, admittance real part
    de: Realteil Y, Realteil von Y, Realteil der Admittanz, Admittanz Realteil, Konduktanz,
        Wirkleitwert, Leitwert, Realteil Admittanz
    fr: partie réelle Y, partie réelle de Y, partie réelle de l'admittance, conductance, Y réel
    es: parte real Y, parte real de Y, parte real de la admitancia, conductancia
    it: parte reale Y, parte reale di Y, parte reale dell'ammettenza, conduttanza, Y reale
    pl: część rzeczywista Y, część rzeczywista admitancji, konduktancja, przewodność
    nl: reëel deel Y, reëel deel van Y, reëel deel admittantie, conductantie, geleiding, Y reëel
    cs: reálná část Y, reálná část admitance, konduktance, vodivost, Y reálná
"""

Y_IMAG_S = """
    Y'', Im Y, Im(Y), Y im, Yim, Yi, Y imag, imag Y, B, Bp, ℑ(Y), Y double prime
    en: imaginary part of Y, imaginary part Y, imaginary part of admittance, imaginary admittance,
        admittance imag, admittance imaginary, susceptance, parallel susceptance,
        admittance imaginary part
    de: Imaginärteil Y, Imaginärteil von Y, Imaginärteil der Admittanz, Admittanz Imaginärteil,
        Suszeptanz, Blindleitwert, Imaginärteil Admittanz
    fr: partie imaginaire Y, partie imaginaire de Y, partie imaginaire de l'admittance, susceptance,
        Y imaginaire
    es: parte imaginaria Y, parte imaginaria de Y, parte imaginaria de la admitancia, susceptancia
    it: parte immaginaria Y, parte immaginaria di Y, parte immaginaria dell'ammettenza, suscettanza
    pl: część urojona Y, część urojona admitancji, susceptancja
    nl: imaginair deel Y, imaginair deel van Y, imaginair deel admittantie, susceptantie
    cs: imaginární část Y, imaginární část admitance, susceptance
"""

Y_MODULUS_S = """
    |Y|, Y, Y mod, Ymod, mod Y, mod(Y), Y abs, abs Y, abs(Y), Y mag, mag Y, Y0
    en: modulus of Y, modulus Y, modulus of admittance, admittance modulus, magnitude of Y,
        magnitude Y, admittance magnitude, admittance, absolute admittance
    de: Betrag Y, Betrag von Y, Betrag der Admittanz, Admittanzbetrag, Admittanz, Scheinleitwert
    fr: module Y, module de Y, module de l'admittance, admittance
    es: módulo Y, módulo de Y, módulo de la admitancia, admitancia
    it: modulo Y, modulo di Y, modulo dell'ammettenza, ammettenza
    pl: moduł Y, moduł admitancji, admitancja
    nl: modulus van Y, modulus admittantie, admittantie
    cs: modul Y, modul admitance, admitance
"""

Z_COMPLEX = """
    Z, Z*, Z complex, complex Z, Z cplx, cplx Z, Z(ω), Z(f), Z = R + jX, R+jX, Z'+jZ'', Z' + i Z'',
        Z' - j Z'', Z' - i Z'', Z re + j Z im, Re + j Im, R + i X, Z = R + iX
    en: complex impedance, impedance complex, impedance, complex value, impedance vector,
        complex number
    de: komplexe Impedanz, Impedanz, Impedanz komplex, Z komplex, komplexer Wert,
        komplexer Widerstand
    fr: impédance complexe, impédance, Z complexe, valeur complexe
    es: impedancia compleja, impedancia, Z compleja, Z complejo, valor complejo
    it: impedenza complessa, impedenza, Z complessa, Z complesso, valore complesso
    pl: impedancja zespolona, impedancja, Z zespolone, wartość zespolona
    nl: complexe impedantie, impedantie, complexe waarde
    cs: komplexní impedance, impedance, Z komplexní, komplexní hodnota
"""

TEMPERATURE_C = """
    T, temp, tmp, T bath, T cell
    en: temperature, bath temperature, cell temperature, electrolyte temperature, bath temp,
        cell temp, electrolyte temp, solution temperature, solution temp, test temperature,
        measuring temperature, measurement temperature, temperature of the bath,
        temperature of electrolyte, temperature of the electrolyte, temperature of solution,
        temperature of the solution, water temperature, immersion temperature, liquid temperature,
        temperature T
    de: Temperatur, Badtemperatur, Elektrolyttemperatur, Zelltemperatur, Messtemperatur,
        Meßtemperatur, Prüftemperatur, Lösungstemperatur, Temperatur des Bades,
        Temperatur des Elektrolyten, Temperatur der Lösung, Temperatur im Bad, Badtemp,
        Wassertemperatur, Temp Elektrolyt
    fr: température, température du bain, température de la cellule, température de l'électrolyte,
        température électrolyte, température de la solution, température d'essai,
        température de mesure, temp bain
    es: temperatura, temperatura del baño, temperatura de la celda, temperatura del electrolito,
        temperatura electrolito, temperatura de la solución, temperatura de la disolución,
        temperatura de ensayo, temperatura de medición
    it: temperatura, temperatura del bagno, temperatura della cella, temperatura dell'elettrolita,
        temperatura elettrolita, temperatura della soluzione, temperatura di prova,
        temperatura di misura
    pl: temperatura, temperatura kąpieli, temperatura elektrolitu, temperatura roztworu,
        temperatura badania, temperatura pomiaru, temperatura w naczynku
    nl: temperatuur, badtemperatuur, celtemperatuur, elektrolyttemperatuur,
        temperatuur elektrolyt, temperatuur oplossing, temperatuur van het bad, testtemperatuur,
        meettemperatuur
    cs: teplota, teplota lázně, teplota elektrolytu, teplota roztoku, teplota cely,
        teplota článku, zkušební teplota, teplota zkoušky, teplota měření
"""

BESIDE = """
    Eocp, E ocp, Ecorr, E corr, Ecor
    en: rest potential, corrosion potential, free corrosion potential, open-circuit voltage
    de: Ruhepotenzial, Korrosionspotential, freies Korrosionspotential, Potenzial, Leerlaufpotential
    fr: potentiel de corrosion, potentiel d'abandon, potentiel de repos
    es: potencial de corrosión, potencial libre, potencial de reposo
    it: potenziale di corrosione, potenziale libero, potenziale di riposo
    pl: potencjał spoczynkowy, potencjał korozyjny
    nl: corrosiepotentiaal, vrije corrosiepotentiaal
    cs: klidový potenciál, korozní potenciál, potenciál naprázdno
    E, Edc, E dc, V, Vdc, U, Udc, I, Idc, I dc, Iac, I ac, Eac, E ac, Vac, Uac, OCP, Eoc, E oc, Cp,
    Cs, C, C',
    C'', Re C, Im C, |C|, tan delta, tan δ, D, Q, ε', ε'', ε, εr, THD, chi2, χ², t, rms, residual, fit residual, ovl, dt
    en: dc potential, potential, open circuit potential, bias, dc bias, dc voltage, voltage,
        ac voltage, ac amplitude, amplitude, perturbation, rms amplitude, drive level, current,
        dc current, ac current, current range, range, gain, integration time, integration, cycles,
        averages, repeats, point number, data point, time, elapsed time, time of point,
        time stamp s,
        capacitance,
        complex capacitance, parallel capacitance, series capacitance, permittivity, loss factor,
        dissipation factor, quality factor, error, noise, signal to noise, residual, weight,
        fit, fit Z', fit Z'', fitted, calculated, distortion, coherence, drift, ph, conductivity,
        electrolyte, solution, reference electrode, counter electrode, stabilisation time, flag,
        status, overload
    de: Potential, Ruhepotential, Gleichpotential, Gleichspannung, Spannung, Wechselspannung,
        Amplitude, Anregungsamplitude, Strom, Gleichstrom, Wechselstrom, Strombereich, Messbereich,
        Bereich, Verstärkung, Integrationszeit, Zyklen, Mittelungen, Punkt Nr, Messpunkt,
        Datenpunkt,
        Zeit, Messzeit, Laufzeit, Kapazität,
        Permittivität, Verlustfaktor, Verlustwinkel, Gütefaktor, Fehler, Rauschen, Gewichtung,
        Anpassung, berechnet, Klirrfaktor, Drift, Leitfähigkeit, Elektrolyt, Bezugselektrode,
        Referenzelektrode, Gegenelektrode, Übersteuerung
    fr: potentiel, potentiel libre, potentiel à circuit ouvert, tension, tension continue, courant,
        courant continu, gamme, gamme de courant, calibre, temps, capacité,
        permittivité,
        facteur de perte, facteur de dissipation, erreur, point de mesure, bruit, électrolyte,
        conductivité, électrode de référence, temps d'intégration
    es: potencial, potencial de circuito abierto, tensión, voltaje, corriente, rango, amplitud,
        rango de corriente, tiempo, capacidad, capacitancia, permitividad,
        factor de pérdidas, punto de medida, ruido, electrolito, conductividad,
        electrodo de referencia
    it: potenziale, potenziale a circuito aperto, tensione, corrente, ampiezza, intervallo, portata,
        tempo, capacità, permettività, fattore di perdita, errore, punto di misura,
        rumore, elettrolita, conducibilità, elettrodo di riferimento
    pl: potencjał, potencjał obwodu otwartego, napięcie, prąd, amplituda, zakres, zakres prądowy,
        czas, pojemność, przenikalność, współczynnik strat, błąd, punkt pomiarowy,
        szum,
        elektrolit, przewodnictwo, elektroda odniesienia
    nl: potentiaal, open-circuitpotentiaal, rustpotentiaal, spanning, stroom, bereik, meetbereik,
        stroombereik, tijd, capaciteit, permittiviteit, verliesfactor, fout, meetpunt,
        ruis, elektrolyt, geleidbaarheid, referentie-elektrode
    cs: potenciál, potenciál otevřeného obvodu, klidový potenciál, napětí, proud, rozsah,
        proudový rozsah, čas, kapacita, permitivita, ztrátový činitel, chyba, měřicí bod,
        šum, elektrolyt, vodivost elektrolytu, referenční elektroda
"""

# potentials, each against the reference electrodes of the trade
BESIDE += ", ".join(
    f"{name} vs {reference}"
    for name in ("OCP", "E", "Eoc", "E oc", "Eocp", "Ecorr", "E corr", "potential", "Potential")
    for reference in ("SCE", "Ag/AgCl", "SHE", "NHE", "MSE", "GKE", "ECS", "ref", "reference")
)
