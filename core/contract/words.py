"""What the trade calls the keys and entries that every kind has, and lines that are no data.

The texts are those that `tiecoat.plugin.column(words=...)` takes. Trade words, from memory.
"""

from __future__ import annotations

PANEL = """
    pnl, plt, pnl no, pnl id
    en: panel, panel id, panel no, panel number, panel name, test panel, test panel no, plate,
        plate no, coupon, coupon id, coupon no, test plate, test coupon, panel code, coated panel,
        panel ref, panel label, panel identification
    de: Platte, Platte Nr, Platten-Nr, Plattennummer, Prüfplatte, Probeplatte, Probenplatte, Blech,
        Blech Nr, Blechnummer, Prüfblech, Probeblech, Probenblech, Tafel, Prüftafel, Probetafel,
        Panel, Panel Nr, Testblech, Testplatte, Coupon, Blech-ID, Plattenbezeichnung
    fr: n° éprouvette,
        panneau, panneau no, n° de panneau, numéro de panneau, plaque, plaque no, n° de plaque,
        numéro de plaque, panneau d'essai, plaque d'essai, tôle, tôle no, coupon, plaquette
    es: n.º de probeta,
        panel, panel no, n° de panel, número de panel, placa, placa no, n° de placa,
        número de placa, panel de ensayo, placa de ensayo, chapa, chapa no, cupón
    it: n. provino,
        pannello, pannello n, numero pannello, n° pannello, piastra, piastrina, lastra, lamierino,
        lamiera, pannello di prova, piastra di prova, lamierino n, lastrina
    pl: płytka, płytka nr, nr płytki, numer płytki, płyta, płyta nr, panel, panel nr, blacha,
        blaszka, płytka badawcza, płytka testowa, nr panelu, nr płyty
    nl: paneel, paneel nr, paneelnummer, plaat, plaat nr, plaatnummer, testpaneel, proefpaneel,
        proefplaat, testplaat, coupon, panel
    cs: vzorek plechu, vzorkový plech,
        panel, panel č, číslo panelu, deska, deska č, číslo desky, plech, plech č, zkušební panel,
        zkušební deska, zkušební plech, destička, plíšek
    hu: lemez, lemezszám, lemez száma, lemez jele, próbalemez, vizsgálati lemez, panel
    pt: painel, painel n.º, n.º do painel, placa de ensaio, chapa de ensaio, painel de ensaio
"""

BATCH = """
    en: batches, lots, charge, batch of paint,
        batch, batch id, batch no, batch number, batch code, lot, lot no, lot number, lot id,
        paint batch,
        batch name, mill batch, production lot, batch ref
    de: Chargen, Lack-Charge, Ansätze,
        Charge, Charge Nr, Chargen-Nr, Chargennummer, Chargen-ID, Ansatz, Ansatz Nr, Ansatznummer,
        Partie,
        Partie Nr, Batch, Batch Nr, Los, Los Nr, Losnummer, Mischung Nr, Lackcharge, Ch Nr,
        Chargenbezeichnung
    fr: lots, lot de peinture,
        lot, lot no, n° de lot, numéro de lot, batch, fabrication no, gâchée, référence lot,
        code lot
    es: lotes, lote de pintura,
        lote, lote no, n° de lote, número de lote, partida, partida no, batch, código de lote,
        carga no
    it: lotti, lotto di vernice, lotto di pittura,
        lotto, lotto n, n° lotto, numero lotto, numero di lotto, partita, partita n, batch,
        codice lotto
    pl: partie, partia farby, szarże,
        partia, partia nr, nr partii, numer partii, szarża, szarża nr, nr szarży, seria, nr serii,
        numer serii
    nl: batches, charges, partijen, verfbatch, verfcharge,
        batch, batch nr, batchnummer, charge, charge nr, chargenummer, partij, partij nr,
        partijnummer, lot, lotnummer
    cs: šarže barvy, várka barvy,
        šarže, šarže č, číslo šarže, várka, várka č, číslo várky, dávka č, číslo dávky, partie,
        série
    hu: tétel, tételszám, tétel száma, tétel jele, sarzs, sarzsszám, gyártási tétel
    pt: lotes, lote n.º, n.º do lote, número do lote, código do lote, lote de tinta
"""

# what a batch is called beside its id, or in its place
CANDIDATE = """
    en: candidate, candidate material, raw material, filler, extender, additive, test material,
        variant, raw material under test, filler under test
    de: Kandidat, Rohstoff, Füllstoff, Zusatzstoff, Prüfstoff, Variante, Additiv
    fr: candidat, matière première, matière à l'essai, variante, additif
    es: candidato, materia prima, material en ensayo, variante, aditivo
    it: candidato, materia prima, materiale in prova, variante, additivo
    pl: kandydat, surowiec, wypełniacz, wariant, dodatek
    nl: kandidaat, grondstof, vulstof, variant, additief
    cs: kandidát, surovina, plnivo, varianta, přísada
"""

DOSE = """
    en: dose, dosage, dose level, loading level, addition level
    de: Dosis, Dosierung, Zugabemenge, Einsatzmenge
    fr: dose, dosage, taux d'ajout
    es: dosis, dosificación
    it: dose, dosaggio
    pl: dozowanie, poziom dozowania
    nl: dosis, dosering
    cs: dávkování
"""

SAMPLE = """
    en: sample, sample id, sample no, sample number, sample name, specimen, specimen id,
        specimen no, test piece, test piece no, test specimen, id, name, identification, label,
        code, designation, object, item, identifier, sample code, title, test object
    de: Probe, Probe Nr, Proben-Nr, Probennummer, Probenname, Proben-ID, Probenbezeichnung,
        Prüfkörper, Prüfling, Prüfstück, Muster, Muster Nr, Musternummer, Bezeichnung, Kennung,
        Kennzeichnung, Kennzeichen, Name, Objekt, Prüfkörper Nr, Probekörper, Probenkennzeichnung
    fr: échantillon, éch, éch no, n° éch, échantillon no, n° d'échantillon, éprouvette, éprouvette no, pièce,
        identifiant,
        nom, désignation, repère, référence, code, nom de l'échantillon, id échantillon
    es: muestra, muestra no, n° de muestra, probeta, probeta no, pieza, identificación, nombre,
        designación, referencia, código, id muestra, identificador
    it: campione, campione n, n° campione, provino, provino n, provetta, identificazione, nome,
        designazione, riferimento, sigla, codice, id campione
    pl: próbka, próbka nr, nr próbki, numer próbki, nazwa próbki, kształtka, nazwa, oznaczenie,
        identyfikator, kod, symbol
    nl: monster, monster nr, monsternummer, proefstuk, proefstuk nr, testobject, naam, aanduiding,
        identificatie, code, kenmerk monster, monsternaam
    cs: vzorek, vzorek č, číslo vzorku, zkušební těleso, zkušební vzorek, název, název vzorku,
        označení, identifikace, kód
    hu: minta, mintaszám, minta száma, minta jele, minta neve, mintaazonosító, próbatest,
        azonosító
    pt: amostra, amostra n.º, provete, corpo de prova, designação, identificação da amostra
"""

DATE = """
    en: date, test date, measuring date, measurement date, date of test, date of measurement, day,
        date measured, measured on, tested on, inspection date, date of inspection, inspected,
        inspected on, recorded on, run date, date tested
    de: Datum, Prüfdatum, Messdatum, Meßdatum, Tag, gemessen am, geprüft am, Prüftag, Messtag,
        Datum der Messung, Datum der Prüfung, Inspektionsdatum, Versuchsdatum, Testdatum
    fr: date, date de mesure, date d'essai, date de l'essai, jour, mesuré le, date du test,
        date de contrôle, date d'inspection, date de la mesure
    es: fecha, fecha de medida, fecha de medición, fecha de ensayo, fecha del ensayo, día,
        medido el, fecha de inspección, fecha de prueba
    it: data, data di misura, data misura, data di prova, data prova, giorno, misurato il,
        data di ispezione, data della prova
    pl: data, data pomiaru, data badania, dzień, data oceny, data testu, data przeglądu
    nl: datum, meetdatum, testdatum, datum meting, datum proef, dag, gemeten op, inspectiedatum
    cs: datum, datum měření, datum zkoušky, den, měřeno dne, datum hodnocení, datum kontroly
    hu: dátum, mérés dátuma, vizsgálat dátuma, mérés napja, vizsgálat napja
    pt: data da medição, data de medição, data do ensaio, data de ensaio, dia, medido em
"""

CLOCK = """
    en: time, time of day, clock, clock time, hour, start time, test time of day, local time,
        time measured, measuring time of day, time of test, time of measurement
    de: Uhrzeit, Zeit, Uhr, Startzeit, Ortszeit, Zeit der Messung, Messuhrzeit, Prüfuhrzeit
    fr: heure, heure de mesure, heure de début, heure locale, heure d'essai, heure de la mesure
    es: hora, hora de medida, hora de medición, hora de inicio, hora local, hora del ensayo
    it: ora, orario, ora di misura, ora di inizio, ora locale, ora della prova
    pl: godzina, godz, godzina pomiaru, czas lokalny, godzina rozpoczęcia, godzina badania
    nl: tijdstip, tijd, uur, kloktijd, starttijd, begintijd, lokale tijd
    cs: čas, hodina, čas měření, čas zahájení, místní čas, čas zkoušky
    hu: időpont, mérés ideje
    pt: hora da medição, hora de início
"""

MOMENT = """
    en: date and time, inspection, inspection on, inspected at, test on, measurement of, date time, datetime, date/time, timestamp, time stamp, measured at, measured,
        taken, taken at, recorded, recorded at, acquired, acquired at, start, started, started at,
        start of test, start of measurement, begin, tested at, when, created, date & time, run at,
        acquisition time, date of acquisition, time of acquisition, local date and time,
        scan started, scan start, sweep started, sweep start, run started, spectrum taken,
        test started, measurement started, measuring time, measurement time, time measured, time of measurement, test time
    de: Messung, Messzeit, Inspektion, Inspektion am, Inspektion vom, Prüfung am, Prüfung vom, Abgelesen am, Begutachtung, Begutachtung am, Messung am, Messung vom, Meßzeit, Prüfzeit, Zeit der Messung,
        Zeitstempel, Datum und Uhrzeit, Datum/Uhrzeit, Datum Uhrzeit, Datum/Zeit, Datum und Zeit,
        Messzeitpunkt, Zeitpunkt, gemessen, Messbeginn, Start, Beginn, Beginn der Messung,
        aufgenommen, aufgenommen am, Prüfzeitpunkt, erstellt, Datum & Uhrzeit, gestartet,
        Messung gestartet, Scan gestartet, Messung begonnen, Spektrum aufgenommen
    fr: mesuré le, inspection, inspection du, inspection le, essai du, examen du, mesure du, mesure le, relevé le, effectué le, date et heure, date/heure, horodatage, mesuré, début, début de mesure, début d'essai,
        date heure, moment, enregistré, enregistré le, temps de mesure, heure de mesure,
        début du balayage, balayage lancé, mesure lancée, mesure commencée
    es: medido el, inspección, inspección del, inspección el, ensayo del, medida el, medición del, registrado el, tomado el, fecha y hora, fecha/hora, fecha hora, marca de tiempo, medido, inicio, inicio de medida,
        inicio del barrido, barrido iniciado, medida iniciada,
        inicio del ensayo, registrado, momento, tiempo de medida, hora de medición
    it: misurato il, ispezione, ispezione del, ispezione il, prova del, misura del, misura il, rilevato il, eseguito il, data e ora, data/ora, data ora, marca temporale, misurato, inizio, inizio misura,
        inizio scansione, inizio della scansione, misura iniziata,
        inizio prova, registrato, momento, tempo di misura, ora di misura
    pl: zmierzono dnia, przegląd, przegląd dnia, przegląd z dnia, badanie z dnia, pomiar dnia, pomiar z dnia, pomiar,
        pomiar wykonano, zmierzono dnia, zarejestrowano, data i godzina, data/godzina, data i czas, znacznik czasu, zmierzono, początek, start,
        początek przemiatania, rozpoczęcie pomiaru, pomiar rozpoczęto,
        początek pomiaru, rozpoczęcie, moment pomiaru, czas pomiaru
    nl: gemeten op, inspectie, inspectie op, geïnspecteerd op, meting op, meting van, geregistreerd, tijdstip van meting, datum en tijd, datum/tijd, datum tijd, tijdstempel, gemeten, begin, start, begin meting,
        scan gestart, meting gestart, begin scan,
        begin proef, meetmoment, opgenomen, meettijd, tijd van meting
    cs: změřeno, prohlídka, prohlídka dne, zkouška dne, hodnoceno dne, měření dne, změřeno dne, změřeno v,
        změřeno, změřeno dne, naměřeno, zkoušeno, měřeno v, datum a čas, datum/čas, datum čas, časové razítko, měřeno, začátek, začátek měření, start,
        okamžik měření, zaznamenáno, čas měření, doba měření
    hu: dátum és idő, mérés időpontja, időbélyeg
"""

INSTRUMENT = """
    SN, S/N
    en: instrument, device, gauge, apparatus, equipment, meter, tester, station, machine,
        instrument no, serial no, serial number, instrument id, instrument name, device no,
        instrument serial, gauge no, bench, test equipment, measuring device, model, unit no,
        gloss meter, thickness gauge, adhesion tester, viscometer, rheometer, density meter
    de: Gerät, Messgerät, Meßgerät, Prüfgerät, Instrument, Apparat, Gerät Nr, Gerätenummer,
        Seriennummer, Serien-Nr, Messplatz, Station, Prüfmaschine, Prüfstand, Gerätetyp, Messmittel,
        Prüfmittel, Glanzmessgerät, Schichtdickenmessgerät, Haftprüfgerät, Viskosimeter, Rheometer,
        Dichtemessgerät, Gerätename
    fr: appareil, instrument, dispositif, équipement, machine, numéro de série, n° de série, poste,
        jauge, appareil de mesure, brillancemètre, viscosimètre, rhéomètre, densimètre, station
    es: aparato, instrumento, equipo, dispositivo, máquina, número de serie, n° de serie, medidor,
        equipo de medida, brillómetro, viscosímetro, reómetro, densímetro, estación
    it: strumento, apparecchio, apparecchiatura, dispositivo, macchina, numero di serie, matricola,
        misuratore, glossmetro, viscosimetro, reometro, densimetro, stazione
    pl: przyrząd, urządzenie, aparat, miernik, numer seryjny, nr seryjny, maszyna, stanowisko,
        przyrząd pomiarowy, połyskomierz, wiskozymetr, reometr, gęstościomierz
    nl: instrument, toestel, apparaat, meter, meettoestel, serienummer, machine, meetapparaat,
        station, glansmeter, viscosimeter, reometer, dichtheidsmeter
    cs: přístroj, zařízení, měřidlo, měřicí přístroj, výrobní číslo, sériové číslo, stroj,
        stanice, leskoměr, viskozimetr, reometr, hustoměr
    hu: műszer, mérőműszer, készülék, mérőkészülék, műszer száma, gyári szám
"""

OPERATOR = """
    en: rater, rated by, assessor, evaluator, evaluated by, assessed by,
        operator, user, tested by, measured by, technician, by, inspector, initials, performed by,
        analyst, tester name, person, signature, recorded by, checked by, done by, name of operator
    de: Ausführender, Bewerter, Bewerterin, Gutachter, bewertet von, beurteilt von,
        Bediener, Prüfer, Bearbeiter, Benutzer, geprüft von, gemessen von, Laborant, Laborantin,
        Kürzel, Unterschrift, Techniker, durchgeführt von, Prüferin, Name des Prüfers, Anwender
    fr: exécutant, évaluateur, évalué par, noté par,
        opérateur, opératrice, utilisateur, technicien, mesuré par, testé par, par, inspecteur,
        initiales, réalisé par, signature, visa
    es: ejecutado por, realizado, evaluador, evaluado por,
        operador, operario, usuario, técnico, medido por, ensayado por, inspector, iniciales,
        realizado por, firma, analista
    it: operatore, utente, tecnico, misurato da, provato da, ispettore, iniziali, eseguito da,
        firma,
        addetto, valutatore, valutato da
    pl: wykonawca, badacz, ocenił, oceniła,
        operator, użytkownik, badający, laborant, technik, wykonał, wykonała, zmierzył, inicjały,
        podpis, oceniający
    nl: uitvoerder, laborante, beoordelaar, beoordelaars, beoordeeld door,
        operator, gebruiker, bediener, laborant, technicus, gemeten door, getest door, paraaf,
        uitgevoerd door, inspecteur, handtekening
    cs: zkoušel, zpracoval, hodnotil, posuzovatel,
        operátor, obsluha, uživatel, laborant, technik, měřil, zkoušel, provedl, hodnotitel,
        iniciály, podpis
    hu: kezelő, mérte, vizsgálta, vizsgáló, laboráns
    pt: executado por, medido por, avaliado por, realizado por, utilizador, avaliador
"""

REMARK = """
    en: remark, remarks, note, notes, comment, comments, observation, observations, memo, info,
        additional information, annotation, description
    de: Bemerkung, Bemerkungen, Anmerkung, Anmerkungen, Kommentar, Notiz, Notizen, Hinweis,
        Beobachtung, Beobachtungen, Bem, Anm, Info, Sonstiges, Beschreibung
    fr: remarque, remarques, note, notes, commentaire, commentaires, observation, observations,
        description
    es: nota, notas, observación, observaciones, comentario, comentarios, anotación, descripción,
        obs
    it: nota, note, osservazione, osservazioni, commento, commenti, annotazione, descrizione
    pl: uwaga, uwagi, notatka, komentarz, komentarze, adnotacja, spostrzeżenia, opis
    nl: opmerking, opmerkingen, notitie, commentaar, toelichting, aantekening, omschrijving
    cs: poznámka, poznámky, komentář, pozn, připomínka, popis, pozorování
    hu: megjegyzés, megjegyzések, észrevétel
    pt: observação, observações, comentário, comentários, anotação
"""

NUMBER = """
    Pt, Pkt, Nr
    #, i, n, idx
    en: no, number, num, nr, running number, serial, index, row, line, item no, seq, sequence,
        record, record no, point, point no, entry, counter, row no, line no
    de: Nr, Nummer, lfd Nr, laufende Nummer, lfd, lfd Nummer, Index, Zeile, Position, Pos, Zähler,
        Punkt Nr, Satz Nr, Zeile Nr, fortlaufende Nummer
    fr: no, n°, numéro, num, rang, ligne, indice, index, numéro d'ordre, n° d'ordre
    es: no, n°, núm, número, fila, línea, índice, orden, n° de orden, número de orden
    it: n, n°, num, numero, riga, indice, progressivo, numero progressivo, ordine
    pl: nr, numer, lp, l p, liczba porządkowa, wiersz, indeks, pozycja
    nl: nr, nummer, volgnummer, rij, regel, index, rangnummer
    cs: č, číslo, poř č, pořadové číslo, řádek, index, pořadí, p č
    hu: sorszám, ssz
    pt: n.º, número, linha, ordem
"""

PEAK = """
    Pk, max, Fmax
    en: peak, maximum, peak value, maximum value, highest, pull, result
    de: Spitze, Spitzenwert, Maximum, Höchstwert, Maximalwert
    fr: pic, maximum, valeur maximale
    es: pico, máximo, valor máximo
    it: picco, massimo, valore massimo
    pl: szczyt, maksimum, wartość maksymalna
    nl: piek, maximum, piekwaarde
    cs: špička, maximum, nejvyšší hodnota
"""

BASES = """
    Fe, NFe, NF, N-Fe, non-Fe, Fe/NFe, FNF, FN
    en: ferrous, non-ferrous, nonferrous, magnetic, non-magnetic, eddy current, magnetic induction
    de: ferromagnetisch, Eisen, Nichteisen, NE, NE-Metall, Wirbelstrom, magnetinduktiv, magnetisch
    fr: ferreux, non ferreux, magnétique, courants de Foucault
    es: ferroso, férrico, no ferroso, no férrico, magnético, corrientes de Foucault
    it: ferroso, non ferroso, ferro, magnetico, correnti parassite
    pl: żelazny, nieżelazny, magnetyczny, prądy wirowe
    nl: ferro, non-ferro, magnetisch, wervelstroom
    cs: železný, neželezný, magnetický, vířivé proudy
"""

STATISTICS = """
    s
    dev
    Ø, σ, CV, CoV, RSD, SD, Σ, MW, VK, x̄, xm, xq
    en: average value,
        mean, average, avg, ave, standard deviation, std, std dev, stdev, sdev, st dev, std deviation,
        coefficient of variation, cv %, cov %, rsd %, relative standard deviation, variance, median, min,
        max, minimum, maximum, range, sum, total, count, number of values, number of readings,
        statistics, summary, percentile, confidence interval, standard error, sem, mean value,
        difference, arithmetic mean, geometric mean, highest, lowest, quartile, spread,
        measuring points, no of points, number of points
    de: Differenz, Unterschied, Stdabw, mittlerer Wert, x quer,
        Mittelwert, Mittel, Mittelw, Durchschnitt, Standardabweichung, Standardabw, Stabw, Std-Abw,
        Variationskoeffizient, Varianz, Varianzkoeffizient, Median, Minimum, Maximum, Spannweite,
        Summe, Anzahl, Anzahl der Werte, Anzahl Werte, Statistik, Zusammenfassung, Auswertung,
        arithmetisches Mittel, größter Wert, kleinster Wert, Vertrauensbereich, Standardfehler,
        rel Standardabweichung, Streuung, Streubreite, Messstellen, Meßstellen, Messpunkte,
        Anzahl Messstellen, Anzahl Messpunkte
    fr: différence, moyenne, moy, écart-type, écart type, coefficient de variation, variance, médiane, minimum,
        maximum, mini, maxi, étendue, somme, total, nombre de valeurs, effectif,
        statistiques, statistique, valeur moyenne, résumé, dispersion
    es: diferencia, promedio, desv estándar, desv std, desv típica,
        media, promedio, desviación estándar, desviación típica, desv est, desv típ,
        coeficiente de variación, varianza, mediana, mínimo, máximo, mín, máx, rango, recorrido,
        suma, total, número de valores, estadística, estadísticas, valor medio, resumen,
        dispersión
    it: differenza, dev std, dev stand, scarto std, valor medio,
        media, valore medio, deviazione standard, scarto tipo, scarto quadratico medio, dev st,
        dev std,
        coefficiente di variazione, varianza, mediana, minimo, massimo, campo di variazione,
        somma, totale, numero di valori, statistica, statistiche, riepilogo, dispersione
    pl: różnica, średnia, wartość średnia, odchylenie standardowe, odch std, odch stand, odchyl stand,
        std odch, odch st, śr, śred, współczynnik zmienności,
        wariancja, mediana, minimum, maksimum, rozstęp, suma, razem, liczba wartości, statystyka,
        statystyki, podsumowanie, min, maks, rozrzut
    nl: verschil, gemiddelde, gem, gemiddelde waarde, standaardafw, st dev, st afw, stand afw, standaardafwijking, standaarddeviatie, std afw,
        variatiecoëfficiënt, variantie, mediaan, minimum, maximum, spreidingsbreedte, som, totaal,
        aantal, aantal waarden, statistiek, samenvatting, spreiding
    cs: rozdíl, střední hodnota, střední, směrod odch, st odch, prům,
        průměr, průměrná hodnota, aritmetický průměr, směrodatná odchylka, směr odch, sm odch,
        variační koeficient, rozptyl, medián, minimum, maximum, rozpětí, součet, celkem, počet,
        počet hodnot, statistika, souhrn
    hu: átlag, átlagérték, középérték, szórás, minimum, maximum, medián, terjedelem, darabszám
    pt: média, média aritmética, desvio padrão, desvio, mediana, mínimo, máximo, amplitude, soma,
        valor médio, número de leituras, número de valores
"""

# with which rows begin that sum up others, beside the words for statistics
SUMMARIES = """
    en: means, averages, overall mean, grand mean, mean of readings, deviation,
        number of measurements, number of determinations, no of readings
    de: Mittelwerte, mittlere, mittlerer, mittleres, gemittelt, Durchschnittswert, im Mittel,
        Gesamtmittel, Abweichung, Zentralwert, kleinste, kleinster,
        kleinstes, größte, größter, größtes, niedrigster Wert, höchster Wert, Kleinstwert,
        Größtwert, Anzahl der Messungen, Anzahl Messungen, Anzahl Messwerte
    fr: moyennes, moyen, valeurs moyennes, en moyenne, moyenne générale, écart, écarts-types,
        minimale, minimal, maximale, maximal, valeur minimale, valeur maximale,
        nombre de mesures, nombre de lectures
    es: medias, promedios, medio, valores medios, en promedio, media general, desviación,
        amplitud, mínima, máxima, valor mínimo, valor máximo, número de medidas,
        número de mediciones, número de lecturas
    it: medie, medio, valori medi, in media, media generale, deviazione, scarto, scarto medio,
        minima, massima, valore minimo, valore massimo, numero di misure,
        numero misure, numero di letture
    pl: średnie, średni, średnio, wartości średnie, przeciętnie, przeciętna, średnia ogólna,
        odchylenie, minimalna, minimalny, minimalnie, maksymalna, maksymalny,
        maksymalnie, wartość minimalna, wartość maksymalna, najmniejsza, największa,
        liczba pomiarów
    nl: gemiddeld, gemiddelden, gemiddelde waarden, afwijking,
        laagste, hoogste, kleinste, grootste, laagste waarde, hoogste waarde, minimaal, maximaal,
        minimumwaarde, maximumwaarde, aantal metingen, bereik, middelwaarde
    cs: průměrně, průměrná, průměrné, průměrný, průměry, odchylka, směrodatné odchylky,
        variační rozpětí, nejmenší, největší, nejnižší, nejvyšší, minimální, maximální,
        minimální hodnota, maximální hodnota, počet měření
    hu: átlagok, legkisebb érték, legnagyobb érték, mérések száma
    pt: médias, valores médios, em média, média geral, número de medições
"""

AVERAGES = """
    Ø, x̄, MW, AV
    en: mean, average, avg, ave, mean value, average value, arithmetic mean
    de: Mittelwert, Mittel, Mittelw, Durchschnitt, arithmetisches Mittel
    fr: moyenne, moy, valeur moyenne
    es: media, promedio, valor medio, prom
    it: media, valore medio, valor medio
    pl: średnia, śr, wartość średnia
    nl: gemiddelde, gem, gemiddelde waarde
    cs: průměr, prům, průměrná hodnota, střední hodnota
    hu: átlag, átlagérték, középérték
    pt: média, valor médio
"""

MEANS = """
    en: mean, average, avg, median, standard deviation, std dev, stdev
    de: Mittelwert, Mittel, Durchschnitt, Median, Standardabweichung
    fr: moyenne, moy, médiane, écart type
    es: media, promedio, mediana, desviación estándar
    it: media, mediana, deviazione standard
    pl: średnia, mediana, odchylenie standardowe
    nl: gemiddelde, gemiddeld, mediaan, standaardafwijking
    cs: průměr, průměrná, medián, směrodatná odchylka
    hu: átlag, medián, szórás
    pt: média, mediana, desvio padrão
"""

LEAST = """
    min, MN, minimum, mini, minimo, mínimo, lowest, low, lo, least, kleinster Wert, minimalna, laagste, nejmenší
"""

MOST = """
    max, MX, maximum, maxi, massimo, máximo, highest, high, hi, most, größter Wert, maks, maksimum, hoogste, největší
"""

SEVERAL = """
    n, number of values, number of readings, Anzahl, Anzahl der Werte, Anzahl Werte,
    nombre de valeurs, effectif, número de valores, numero di valori, liczba wartości, aantal,
    aantal waarden, počet, počet hodnot
"""

# that a reading counts, and nothing of what it is of
VALID = """
    i.O., iO, OK, o.k.
    en: valid, ok, okay, good, passed, pass, accepted, quality, qual
    de: gültig, gut, bestanden, in Ordnung
    fr: valide, bon, conforme, accepté
    es: válido, válida, conforme, aceptado
    it: valido, valida, conforme, accettato
    pl: ważny, ważne, poprawny
    nl: geldig, goed, in orde
    cs: platný, platné, v pořádku
"""

# that what was tested did not reach what was asked of it, or was stopped
REFUSED = """
    n.i.O., niO, NOK, NG
    en: fail, failed, rejected, refused, not passed, invalid, bad
    de: nicht bestanden, nicht in Ordnung, ungültig, durchgefallen
    fr: non conforme, refusé, échec, invalide
    es: no conforme, rechazado, no válido, fallido
    it: non conforme, respinto, non valido, fallito
    pl: niezgodny, negatywny, odrzucony, nieważny
    nl: afgekeurd, niet geslaagd, ongeldig, niet in orde
    cs: nevyhovuje, nevyhovující, neplatný, zamítnuto
    pt: não conforme, reprovado, rejeitado, inválido
"""

# in place of a time: none has gone by
AT_ONCE = """
    en: at once, immediately, immediate, straight away
    de: sofort, direkt
    fr: immédiatement, aussitôt, tout de suite, immédiat
    es: inmediatamente, de inmediato, inmediato
    it: subito, immediatamente
    pl: natychmiast, od razu
    nl: onmiddellijk, meteen, direct
    cs: ihned, okamžitě, hned
    hu: azonnal, rögtön
"""

# the same as a word that may begin an entry too: Start: 10:20
AT_START = """
    en: at start, start, at the start
    de: Start, zu Beginn, Beginn
    fr: au départ, départ, au début, début
    es: al inicio, inicio
    it: all'inizio, inizio
    pl: początek, na początku
    nl: begin, bij aanvang
    cs: začátek, na začátku
    hu: kezdet
"""

# of several columns of lengths, in a line that tells their unit: heights in mm
HEIGHTS = """
    en: heights, levels, lengths
    de: Höhen, Längen
    fr: hauteurs, longueurs
    es: alturas, longitudes
    it: altezze, lunghezze
    pl: wysokości, długości
    nl: hoogten, hoogtes, lengtes
    cs: výšky, délky
"""

UNIT = """
    Un
    en: unit, units, unit of measurement, measuring unit, unit of measure, uom, unit of readings,
        units of measurement, readings in, values in, all values in, measured in
    de: Einheit, Einheiten, Maßeinheit, Masseinheit, Messeinheit, Meßeinheit, Werte in,
        alle Werte in, Angaben in, Messwerte in, Einheit der Messwerte
    fr: unité, unités, unité de mesure, unités de mesure, valeurs en, valeurs exprimées en
    es: unidad, unidades, unidad de medida, unidades de medida, valores en, valores expresados en
    it: unità, unità di misura, valori in, valori espressi in
    pl: jednostka, jednostki, jednostka miary, jednostki miary, wartości w, jedn
    nl: eenheid, eenheden, meeteenheid, maateenheid, waarden in
    cs: jednotka, jednotky, měrná jednotka, měrné jednotky, hodnoty v, jedn
    hu: egység, mértékegység
    pt: unidade, unidades, valores em
"""

ENDS = """
    EOF, EOD
    en: end, end of data, end of file, end of table, end of record, end of measurement, end of test,
        end of report, end of list, no more data, data end, end of export
    de: Ende, Datenende, Ende der Daten, Dateiende, Ende der Datei, Ende der Tabelle,
        Ende der Messung, Ende der Liste, Messende, Ende des Protokolls, Ende Daten
    fr: fin, fin des données, fin du fichier, fin de fichier, fin du tableau, fin de mesure,
        fin de la mesure, fin des mesures, fin du rapport
    es: fin, fin de datos, fin de los datos, fin de archivo, fin del archivo, fin de la tabla,
        fin de la medida, fin del informe, final
    it: fine, fine dati, fine dei dati, fine file, fine tabella, fine misura, fine rapporto
    pl: koniec, koniec danych, koniec pliku, koniec tabeli, koniec pomiaru, koniec raportu
    nl: einde, einde gegevens, einde data, einde bestand, einde tabel, einde meting, einde rapport
    cs: konec, konec dat, konec souboru, konec tabulky, konec měření, konec protokolu
"""

SPECIFIED = """
    en: nominal, nominal value, nominal DFT, nominal thickness, target, target value, set point,
        specified, specification, spec, limit, requirement, required, acceptance limit, tolerance
    de: Soll, Sollwert, Nennwert, Nennschichtdicke, Sollschichtdicke, Grenzwert, Anforderung,
        Vorgabe, Zielwert, Toleranz, NDFT
    fr: valeur nominale, nominal, nominale, épaisseur nominale, consigne, valeur cible, cible,
        exigence, limite, spécification, tolérance
    es: valor nominal, nominal, espesor nominal, objetivo, requisito, límite, especificación,
        especificado, tolerancia
    it: valore nominale, nominale, spessore nominale, valore di riferimento, obiettivo, requisito,
        limite, specifica, tolleranza
    pl: wartość nominalna, nominalna, grubość nominalna, wymagana, wymaganie, wartość zadana,
        tolerancja
    nl: nominaal, nominale waarde, nominale laagdikte, streefwaarde, eis, grenswaarde, tolerantie
    cs: jmenovitá hodnota, jmenovitá, jmenovitá tloušťka, požadavek, požadovaná hodnota, mez,
        tolerance
"""

SURROUNDINGS = """
    FW, SW
    RH, rF, HR, UR, r.v.
    batt, bat, bat.
    en: battery, battery voltage, cupboard, cabinet no, shelf, drawer, rack position, storage,
        storage place, box, tray, lab book, lab book page, file no, picture, photo,
        photo no, image no, room temperature, ambient temperature, room temp, temp room,
        ambient temp, temp ambient,
        air temperature, humidity, relative humidity, room humidity, air pressure, weather,
        probe no, probe serial, sensor, sensor no, calibration, calibrated, calibration due,
        memory, memory no, job, order, order no, project, customer, colour, color, shift,
        duration of the measurement, signal, signal quality, quality, status, checked, released
    de: Batterie, Batteriespannung, Akku, Schrank, Schrank Nr, Regal, Fach, Schublade, Lager,
        Lagerort, Ablage, Kiste, Laborbuch, Laborbuchseite, Bild, Bild Nr, Foto, Foto Nr,
        Raumtemperatur, Lufttemperatur, Umgebungstemperatur, Luftfeuchte, Luftfeuchtigkeit,
        rel Feuchte, relative Luftfeuchte, relative Feuchte, Luftdruck, Wetter, Sonde, Sonden-Nr,
        Sensor, Kalibrierung, kalibriert, Speicherplatz, Auftrag, Auftragsnummer, Projekt, Kunde,
        Farbton, Farbe, Schicht im Betrieb, Signal, Signalgüte, Freigabe, freigegeben
    fr: pile, batterie, tension de pile, armoire, étagère, tiroir, casier, rangement, boîte,
        cahier, photo, n° photo, température ambiante, temp ambiante, température de la salle, température de l'air,
        humidité, humidité relative, pression atmosphérique, météo, sonde, capteur, étalonnage,
        commande, n° commande, projet, client, teinte, couleur
    es: batería, pila, armario, estante, cajón, almacén, caja, cuaderno, foto, n.º foto,
        temperatura ambiente, temp ambiente, temperatura de la sala, temperatura del aire, humedad,
        humedad relativa, presión atmosférica, sonda, sensor, calibración, pedido, proyecto,
        cliente, color
    it: batteria, pila, armadio, scaffale, ripiano, cassetto, magazzino, scatola, quaderno,
        foto, n. foto, temperatura ambiente, temp ambiente, temperatura della stanza, temperatura dell'aria,
        umidità, umidità relativa, pressione atmosferica, sonda, sensore, taratura, calibrazione,
        commessa, progetto, cliente, colore
    pl: bateria, napięcie baterii, szafa, szafka, półka, szuflada, magazyn, pudełko,
        zeszyt, zdjęcie, nr zdjęcia, temperatura otoczenia, temperatura pokoju,
        temperatura powietrza, wilgotność, wilgotność względna, ciśnienie, sonda, czujnik,
        kalibracja, zlecenie, nr zlecenia, projekt, klient, kolor
    nl: batterij, batterijspanning, kast, plank, lade, opslag, doos, labjournaal,
        foto, foto nr, kamertemperatuur, omgevingstemperatuur, luchttemperatuur, luchtvochtigheid,
        relatieve vochtigheid, luchtdruk, sonde, sensor, kalibratie, opdracht, opdrachtnummer,
        project, klant, kleur
    cs: baterie, napětí baterie, skříň, police, zásuvka, sklad, krabice, sešit, fotografie,
        č. fotografie, teplota místnosti, okolní teplota, teplota vzduchu, vlhkost,
        relativní vlhkost, tlak vzduchu, sonda, čidlo, kalibrace, zakázka, číslo zakázky, projekt,
        zákazník, barva
"""

# What a gauge or a machine writes beside its readings, of itself and of how it measured.
GAUGES = """
    px, roi, thr, thresh, lux, led, img, frm, cnt, amp, ampl
    lat, lon, lng, GPS, GPS lat, GPS lon, latitude, longitude, latitud, longitud, latitudine, longitudine
    en: grey, gray, grey value, gray value, grey level, gray level, brightness, intensity, contrast,
        threshold, blur, frame, frame no, frames, pixel, pixels, pixel size, focus, zoom, saturation,
        hue, image, flags, flag, state of gauge, dwell, dwell time, hold time, holding time, loading rate, load rate, rate of loading,
        pull rate, ramp rate, stroke, travel, crosshead, crosshead travel, displacement, path at max,
        displacement at max, preload, pre-load, zero offset, zero point, firmware, firmware version,
        software version, channel, channel no, gain, filter, averaging, number of averages,
        record id, file, file name, error code, alarm, alarm code, supply voltage, battery level,
        battery charge, probe id, probe type, sensor id, calibration date, last calibration,
        calibration factor, correction factor, scale factor, case temperature, housing temperature,
        gauge temperature, device temperature, dew point, surface temperature,
        substrate temperature, signal strength, signal to noise
    de: Grauwert, Graustufe, Helligkeit, Intensität, Kontrast, Schwelle, Schwellwert, Unschärfe,
        Einzelbild, Bildnummer, Pixel, Pixelgröße, Sättigung, Zählerstand,
        Haltezeit, Haltedauer, Lastrate, Belastungsrate, Traversenweg, Weg bei Fmax,
        Weg bei Höchstkraft, Verfahrweg, Hub, Vorkraft, Vorlast, Nullpunkt, Nullabgleich, Firmware,
        Firmware-Version, Softwareversion, Kanal, Kanal Nr, Verstärkung, Filter, Mittelungen,
        Datensatz, Datensatz Nr, Datei, Dateiname, Fehlercode, Versorgungsspannung,
        Korrekturfaktor, Kalibrierfaktor, Gehäusetemperatur, Gerätetemperatur, Taupunkt,
        Oberflächentemperatur, Objekttemperatur, Ladezustand, Akkustand, Batteriestand,
        Batteriezustand, Signalstärke, letzte Kalibrierung
    fr: gris, niveau de gris, luminosité, intensité, contraste, seuil, flou, pixels,
        compteur, temps de maintien, durée de maintien, vitesse de montée en charge, course, course à Fmax,
        déplacement à la rupture, précharge, décalage du zéro, micrologiciel, version du logiciel,
        canal, voie, gain, filtre, n° d'enregistrement, fichier, nom du fichier, code d'erreur,
        alarme, tension d'alimentation, niveau de pile, niveau de batterie, facteur de correction,
        température du boîtier, température de l'appareil, point de rosée, température de surface,
        température du support
    es: gris, nivel de gris, luminosidad, intensidad, contraste, umbral, fotograma,
        píxeles, contador, tiempo de mantenimiento, recorrido del cabezal, carrera, precarga, ajuste de cero,
        versión de software, canal, ganancia, filtro, n.º de registro, archivo, fichero,
        código de error, alarma, tensión de alimentación, nivel de batería, carga de batería,
        factor de corrección, temperatura del equipo, temperatura de la carcasa, punto de rocío,
        temperatura de superficie, temperatura superficial
    it: grigio, livello di grigio, luminosità, intensità, contrasto, soglia, fotogramma, pixel,
        contatore, tempo di mantenimento, corsa, corsa a Fmax, precarico, azzeramento, versione software,
        canale, guadagno, filtro, n. record, nome file, codice errore, allarme,
        tensione di alimentazione, livello batteria, carica batteria, fattore di correzione,
        temperatura dello strumento, temperatura strumento, punto di rugiada,
        temperatura superficiale
    pl: szarość, poziom szarości, jasność, intensywność, kontrast, próg, klatka, piksele, licznik,
        czas utrzymania, czas przytrzymania, droga, skok, obciążenie wstępne, przesunięcie zera,
        wersja oprogramowania, kanał, wzmocnienie, filtr, nr rekordu, plik, nazwa pliku, kod błędu,
        alarm, napięcie zasilania, stan baterii, poziom baterii, współczynnik korekcji,
        temperatura obudowy, temperatura urządzenia, punkt rosy, temperatura powierzchni
    nl: grijs, grijswaarde, helderheid, intensiteit, contrast, drempel, drempelwaarde, beeldje, pixels,
        teller, houdtijd, slag, weg bij Fmax, voorspanning, voorbelasting, nulpunt, nulstelling,
        softwareversie, kanaal, versterking, recordnummer, bestand, bestandsnaam, foutcode,
        voedingsspanning, batterijstand, batterijniveau, accu, accuspanning, correctiefactor,
        behuizingstemperatuur, toesteltemperatuur, dauwpunt, oppervlaktetemperatuur
    cs: šedá, stupeň šedi, jas, intenzita, kontrast, práh, snímek, pixely, čítač, počítadlo,
        doba výdrže, výdrž, dráha, zdvih, posuv, předpětí, předzatížení, posun nuly,
        verze softwaru, kanál, zesílení, filtr, číslo záznamu, soubor, kód chyby,
        napájecí napětí, stav baterie, opravný součinitel, teplota pouzdra, teplota přístroje,
        rosný bod, teplota povrchu
"""

COUNTED = """
    rdg #, loc #, pkt #, pto #
    #, s#, p#, pt #, no #, nr #, m#, x#, r#, pos #, mp #
    en: run #, #st run, #nd run, #rd run, #th run, determination #, trial #, test #,
        spot #, point #, reading #, position #, place #, measurement #, location #, value #, meas #,
        reading no #, spot no #, point no #, #st reading, #nd reading, #rd reading, #th reading,
        #st go, #nd go, #rd go, #th go, #st measurement, #nd measurement, #rd measurement, #th measurement, #st spot, #nd spot,
        #rd spot, #th spot
    de: Versuch #, Durchgang #, Lauf #, Bestimmung #, Best #, Prüfung #,
        Punkt #, Messpunkt #, Messstelle #, Stelle #, Messung #, Wert #, Einzelwert #, Messwert #,
        Ablesung #, # Messung, # Messwert, # Ablesung, # Punkt, # Messpunkt, # Stelle, # Messstelle,
        # Wert, # Einzelwert, Messg #
    fr: essai #, passage #, détermination #, #er essai, #e essai, #ème essai,
        point #, mesure #, lecture #, valeur #, position #, #re mesure, #ère mesure, #e mesure,
        #ème mesure, #re lecture, #ère lecture, #e lecture, #ème lecture, #er point, #e point,
        relevé #, mes #, lect #
    es: ensayo #, prueba #, determinación #, pasada #, #er ensayo, #o ensayo,
        punto #, medida #, medición #, lectura #, valor #, posición #, #a lectura, #a medida,
        #a medición, #er punto, #o punto, lect #, med #, toma #, #a toma
    it: prova #, determinazione #, passata #, #a prova, #a determinazione,
        punto #, misura #, lettura #, valore #, posizione #, #a misura, #a lettura, #o punto,
        rilievo #, #o rilievo, mis #, lett #, misurazione #, #a misurazione
    pl: próba #, oznaczenie #, badanie #, przebieg #, # próba, # oznaczenie,
        punkt #, pomiar #, odczyt #, wartość #, miejsce #, pozycja #, # pomiar, # odczyt, # punkt,
        # miejsce, # wartość, pom #, odcz #
    nl: proef #, bepaling #, poging #, #e proef, #e bepaling, test #,
        punt #, meting #, meetpunt #, aflezing #, waarde #, plaats #, positie #, #e meting,
        #ste meting, #de meting, #e aflezing, #ste aflezing, #de aflezing, #e punt, #e meetpunt,
        #e waarde, plek #
    cs: zkouška #, stanovení #, pokus #, průběh #, # zkouška, # stanovení,
        bod #, měření #, odečet #, hodnota #, místo #, pozice #, # měření, # odečet, # bod, # místo,
        # hodnota, měř #
    hu: mérés #, pont #, leolvasás #, # mérés, # pont, # leolvasás
    pt: ensaio #, determinação #, ponto #, medição #, leitura #, valor #, posição #, #.ª leitura,
        #.ª medição
"""

# Where on a panel somebody has read: what stands side by side under them is readings, in that order.
PLACES = """
    en: left, centre, center, middle, mid, right, top, bottom, upper, lower, head, foot, edge, top left,
        top right, bottom left, bottom right, upper left, upper right, lower left, lower right
    de: links, Mitte, rechts, oben, unten, Kante, Rand, oben links, oben rechts, unten links,
        unten rechts
    fr: gauche, centre, milieu, droite, haut, bas, bord, en haut, en bas, haut gauche, haut droite,
        bas gauche, bas droite
    es: izquierda, centro, derecha, arriba, abajo, borde, izq, dcha
    it: sinistra, centro, mezzo, destra, alto, basso, in alto, in basso, bordo, sx, dx
    pl: lewo, środek, prawo, góra, dół, lewa, prawa, z lewej, z prawej, krawędź, lewy, prawy
    nl: links, midden, rechts, boven, onder, rand, linksboven, rechtsboven, linksonder, rechtsonder
    cs: vlevo, střed, uprostřed, vpravo, nahoře, dole, kraj, levá, pravá, horní, dolní
    hu: bal, jobb, közép, felül, alul, fent, lent, szél
    pt: topo, centro, meio, base, esquerda, direita, em cima, em baixo, bordo, cima, baixo
"""

COLUMNS = """
    en: column #, col #
    de: Spalte #, Sp #
    fr: colonne #, col #
    es: columna #, col #
    it: colonna #, col #
    pl: kolumna #, kol #
    nl: kolom #, kol #
    cs: sloupec #, sl #
"""

# What somebody has worked out from other columns.
COMPUTED = """
    en: calculated, calc, computed, derived, by difference
    de: berechnet, ber, rechnerisch, errechnet
    fr: calculé, calculée, calc, par différence
    es: calculado, calculada, calc, por diferencia
    it: calcolato, calcolata, calc, per differenza
    pl: obliczone, obliczona, obliczony, obl, wyliczone, z różnicy
    nl: berekend, ber, uit verschil
    cs: vypočteno, vypočtená, vypočtený, výpočet, z rozdílu
"""

DOLLIES = """
    en: dolly #, stud #, pull #, dolly no #, stud no #
    de: Stempel #, Prüfstempel #, Stempel Nr #, Abzug #, Abriss #
    fr: plot #, pion #, plot no #, arrachement #
    es: sufridera #, dolly #, disco #, sufridera no #, arranque #
    it: pistoncino #, carrello #, tassello #, dolly n #, strappo #
    pl: odryw #, stempel #, krążek #, grzybek #, stempel nr #, odrywanie #
    nl: dolly #, stempel #, dolly nr #
    cs: terč #, terčík #, válec #, terč č #, odtrh #
"""

AREA = """
    en: area
    de: Fläche
    fr: surface, aire
    es: área, superficie
    it: area, superficie
    pl: powierzchnia, pow, pole
    nl: oppervlak, oppervlakte, opp
    cs: plocha
"""

PER_AREA = """
    en: area normalised, area-normalised, area normalized, area-normalized, normalised, normalized,
        normalised to area, normalized to area, normalised by area, per area, per unit area,
        specific, area specific, area-specific, times area, area corrected
    de: flächenbezogen, flächenbezogene, flächennormiert, flächennormierte, normiert, spezifisch,
        spezifische, spezifischer, auf die Fläche bezogen, auf Fläche normiert, mal Fläche,
        flächenspezifisch
    fr: par surface, rapporté à la surface, rapportée à la surface, normalisé, normalisée,
        surfacique, spécifique, normé par la surface
    es: por área, por superficie, normalizado, normalizada, normalizado por área,
        normalizada por área, específico, específica, por unidad de área
    it: per area, per superficie, normalizzato, normalizzata, normalizzata all'area, specifico,
        riferita all'area, per unità di area
    pl: na powierzchnię, znormalizowany, znormalizowana, unormowany, unormowana,
        na jednostkę powierzchni, właściwy, właściwa, jednostkowa, w przeliczeniu na powierzchnię
    nl: per oppervlak, per oppervlakte, genormaliseerd, genormaliseerde, specifiek, specifieke,
        op oppervlak genormaliseerd, oppervlaktegenormeerd
    cs: na plochu, normovaný, normovaná, vztaženo na plochu, vztažená na plochu, měrný, měrná,
        normalizovaný, normalizovaná
"""

# What stands in a column of truths, in the languages above; a tick or a cross is neither.
YES = frozenset(
    {
        *("yes", "y", "true", "1", "ja", "j", "wahr", "oui", "o", "vrai", "sí", "si", "sì"),
        *("verdadero", "vero", "tak", "prawda", "waar", "ano", "pravda"),
    }
)
NO = frozenset(
    {
        *("no", "n", "false", "0", "nein", "falsch", "non", "faux", "falso", "nie", "fałsz"),
        *("nee", "onwaar", "ne", "nepravda"),
    }
)


def truth_of(text: str | None) -> bool | None:
    """Return what a cell of a column of truths says; None where it is no such word.

    Examples
    --------
    >>> truth_of("Ja"), truth_of("0"), truth_of("perhaps")
    (True, False, None)
    """
    word = (text or "").strip().casefold()
    return True if word in YES else False if word in NO else None


# Quantities of any mechanical test: alone they do not say which it was.
OF_ANY_TEST = """
    F, P, A, d, D
    en: pressure, force, load, stress, area, diameter, max force, max load, maximum force, maximum load
    de: Druck, Kraft, Last, Spannung, Fläche, Durchmesser, Höchstkraft, Maximalkraft
    fr: pression, force, charge, contrainte, surface, aire, diamètre
    es: presión, fuerza, carga, tensión, área, superficie, diámetro
    it: pressione, forza, carico, tensione, area, superficie, diametro
    pl: ciśnienie, siła, obciążenie, naprężenie, powierzchnia, średnica
    nl: druk, kracht, belasting, spanning, oppervlak, oppervlakte, diameter
    cs: tlak, síla, zatížení, napětí, plocha, průměr
"""
