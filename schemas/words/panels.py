"""What the columns of the register of panels are called."""

SUBSTRATE = """
    en: base, substrate type, panel base,
        substrate, base material, steel, surface, surface preparation, substrate material,
        panel material, base metal, metal, pretreatment, preparation, blasting, underground,
        substrate and preparation, steel grade, plate material
    de: Trägerwerkstoff, Grundmaterial,
        Untergrund, Substrat, Grundwerkstoff, Stahl, Oberfläche, Oberflächenvorbereitung, Werkstoff,
        Blech, Material, Vorbereitung, Vorbehandlung, Strahlgrad, Trägermaterial, Plattenmaterial,
        Blechsorte
    fr: base,
        support, substrat, subjectile, acier, métal, matériau, préparation, préparation de surface,
        matériau du support, nuance d'acier, prétraitement
    es: base,
        sustrato, soporte, acero, metal, material, preparación, preparación de superficie,
        material base, pretratamiento
    it: base,
        supporto, substrato, acciaio, metallo, materiale, preparazione,
        preparazione della superficie, materiale di base, pretrattamento
    pl: materiał bazowy,
        podłoże, stal, metal, materiał, przygotowanie, przygotowanie powierzchni,
        materiał podłoża, rodzaj podłoża
    nl: basismateriaal, drager,
        ondergrond, substraat, staal, metaal, materiaal, voorbehandeling, oppervlaktevoorbereiding,
        ondergrondmateriaal, staalsoort
    cs: základ, základní materiál,
        podklad, substrát, ocel, kov, materiál, příprava povrchu, podkladový materiál,
        předúprava, předúprava povrchu
    hu: alapfelület, hordozó, alapfém, felület-előkészítés
"""

COAT_SYSTEM = """
    en: system of paint, system of coating, paint build-up, system build-up,
        system of coats, coat build-up,
        coat system, coating system, system, paint system, coats, build-up, buildup, layers,
        coating, scheme, paint scheme, coating scheme, protective system, build,
        protective paint system
    de: Lacksystem, Anstrichsystem, Farbsystem, Schichtsystem, Schichtenfolge, Lackieraufbau,
        Beschichtungsplan,
        Beschichtungssystem, System, Aufbau, Schichtaufbau, Beschichtungsaufbau, Lackaufbau,
        Schichten, Beschichtung, Anstrichsystem, Systemaufbau, Anstrichaufbau,
        Korrosionsschutzsystem
    fr: système de mise en peinture, système peinture, système d'application, schéma de couches,
        système de couches,
        système, système de peinture, système de revêtement, couches, revêtement, gamme,
        système de protection, schéma de peinture
    es: sistema de pintado, sistema de aplicación, sistema pictórico, sistema de protección,
        sistema de capas,
        sistema, sistema de pintura, sistema de recubrimiento, capas, recubrimiento, esquema,
        esquema de pintado, sistema protector
    it: sistema di verniciatura, sistema vernice, sistema di pittura, sistema di vernici,
        sistema di mani, sistema di protezione, ciclo di rivestimento,
        sistema di strati,
        sistema, ciclo, ciclo di verniciatura, sistema di pitturazione, strati, rivestimento,
        ciclo di pitturazione, sistema di rivestimento, sistema protettivo
    pl: system malowania, system lakierniczy, system powłoki, system zabezpieczenia,
        układ powłokowy, układ powłok,
        system powłok, system farb,
        system, system powłokowy, system malarski, zestaw, warstwy, powłoka, zestaw malarski,
        układ warstw, zestaw powłokowy
    nl: schildersysteem, laksysteem, lagensysteem, conserveringssysteem, systeemopbouw, verfopbouw,
        verflagen, coatingopbouw,
        systeem, verfsysteem, laagopbouw, coatingsysteem, lagen, opbouw, beschermingssysteem
    cs: systém nátěru, systém lakování, lakovací systém, systém vrstev, ochranný systém,
        systém povlaků, systém nátěrů, nátěrová skladba,
        systém, nátěrový systém, skladba, povlakový systém, vrstvy, nátěr, skladba vrstev,
        ochranný nátěrový systém
    hu: bevonatrendszer, festékrendszer, bevonat, rétegrend
"""

THICKNESS_UM = """
    GSP, DLD, DFT total
    DFT, TSD, EPS, NDFT, d
    en: dry thickness, dry film thickness (DFT), dry film, dry film thickness, thickness,
        film thickness, coating thickness, mean DFT, total thickness, total DFT, average DFT,
        mean thickness, system thickness, layer thickness, DFT mean, DFT avg,
        mean dry film thickness, average dry film thickness, dry film thickness mean
    de: Trockendicke, Trockenschichtdicke, Schichtdicke, Dicke, Trockenfilm, Filmdicke,
        Gesamtschichtdicke, mittlere Schichtdicke, Trockenfilmdicke, Beschichtungsdicke,
        Schichtstärke, TSD Mittel, mittlere TSD, Mittelwert TSD, TSD gesamt, Trockenschicht
    fr: épaisseur du film sec, épaisseur de revêtement, épaisseur du revêtement, épaisseur,
        épaisseur sèche, épaisseur de film sec, épaisseur du feuil sec, épaisseur totale,
        épaisseur du film, film sec, épaisseur moyenne, EFS, épaisseur sèche moyenne, ép. sèche
    es: espesor de la película, espesor de recubrimiento, espesor del recubrimiento, espesor,
        espesor seco, espesor de película seca, espesor total, película seca, espesor de película,
        espesor medio, EPS, espesor seco medio, espesor seco total
    it: spessore del film, spessore del film secco, spessore del rivestimento, spessore,
        spessore secco, spessore film secco, spessore totale, film secco, spessore film,
        spessore medio, spessore secco medio, spess. secco
    pl: grubość warstwy, grubość suchej warstwy, grubość, grubość powłoki, grubość suchej powłoki,
        grubość całkowita, sucha powłoka, grubość filmu, średnia grubość, GPS, grubość sucha,
        grubość suchej farby
    nl: droge filmdikte, coatingdikte, dikte, laagdikte, droge laagdikte, totale laagdikte,
        droge film, filmdikte, gemiddelde laagdikte, DLD gemiddeld, gem. laagdikte
    cs: tloušťka suché vrstvy, tloušťka vrstvy, tloušťka, tloušťka suchého filmu, tloušťka povlaku,
        celková tloušťka, suchý film, tloušťka nátěru, TSF, TSV, průměrná tloušťka, suchá tloušťka,
        TSN
    hu: száraz rétegvastagság, rétegvastagság, száraz filmvastagság
"""

COATED_ON = """
    en: day coated, painting date, paint date, coated, coated on, painted, painted on, applied,
        applied on, date coated, coating date, application date, application, date of application,
        date painted, date of coating, sprayed, sprayed on, drawn down on, drawdown date, coated at,
        applied at, applied on date, spray date, date sprayed, coat date, coat 1, coat 1 on,
        first coat, first coat on, 1st coat, 1st coat on, date of first coat, date applied,
        primer on, primed, primed on, application of coat 1
    de: Lackierdatum, Datum der Applikation, Datum Beschichtung, beschichtet, beschichtet am,
        lackiert, lackiert am, appliziert, appliziert am, Beschichtungsdatum, Applikationsdatum,
        Applikation, gespritzt am, aufgetragen am, aufgezogen am, gestrichen am, Auftragsdatum,
        Datum der Beschichtung, appl. am, Spritzdatum, erste Schicht, erste Schicht am, 1. Schicht,
        1. Schicht am, 1. Anstrich, 1. Anstrich am, Datum 1. Schicht, grundiert am, grundiert,
        aufgebracht am, Auftrag am, Applikation am, Beschichtung am
    fr: date du revêtement, date de mise en peinture, date d'enduction, revêtu, revêtu le, peint,
        peint le, appliqué, appliqué le, date d'application, date de peinture, application,
        date de revêtement, première couche, première couche le, 1re couche, 1ère couche,
        date de la première couche, date d'appl, mis en peinture le, peint en date du
    es: fecha de pintura, fecha de la aplicación, recubierto, recubierto el, pintado, pintado el,
        aplicado, aplicado el, fecha de aplicación, fecha de pintado, aplicación,
        fecha de recubrimiento, primera capa, primera capa el, 1ª capa, primera mano, 1ª mano,
        fecha de la primera capa, fecha aplicación, fecha recubrimiento
    it: data di pitturazione, data di rivestimento, rivestito, rivestito il, verniciato,
        verniciato il, applicato, applicato il, data di applicazione, data di verniciatura,
        applicazione, data applicazione, prima mano, prima mano il, 1ª mano, primo strato,
        1º strato, data prima mano, data della prima mano, data verniciatura
    pl: data nakładania, data powlekania, data pokrycia, malowano, pomalowano, data malowania,
        data aplikacji, naniesiono, aplikacja, data nałożenia, nałożono, pierwsza warstwa,
        1. warstwa, data pierwszej warstwy, pomalowano dnia, data naniesienia, nałożono dnia,
        naniesiono dnia
    nl: datum coaten, datum schilderen, datum aanbrengen, datum van coaten, gecoat, gecoat op,
        geschilderd, geschilderd op, aangebracht, aangebracht op, applicatiedatum, datum applicatie,
        coatingdatum, eerste laag, eerste laag op, 1e laag, 1e laag op, datum eerste laag,
        datum aangebracht, datum verf, geverfd op, gespoten op
    cs: datum lakování, datum povlakování, naneseno dne, natřeno, natřeno dne, nanesen, naneseno,
        datum nanášení, datum aplikace, datum nátěru, aplikace, lakováno dne, první vrstva,
        1. vrstva, první nátěr, 1. nátěr, datum první vrstvy, datum prvního nátěru, datum nánosu,
        nastříkáno
    hu: felhordva, felhordás dátuma, bevonás dátuma, festés dátuma, első réteg, 1. réteg,
        1. réteg felhordva, első réteg felhordva, 1. réteg dátuma
"""

COAT_2_ON = """
    en: second coat on, second coat, 2nd coat, 2nd coat on, coat 2, coat 2 on, date of second coat,
        date of 2nd coat, second coat applied, overcoated, overcoated on, overcoating date,
        coat 2 date, top coat on, second coat date
    de: zweite Schicht, zweite Schicht am, 2. Schicht, 2. Schicht am, zweiter Anstrich, 2. Anstrich,
        2. Anstrich am, überlackiert am, überbeschichtet am, Datum 2. Schicht, 2. Schicht Datum,
        zweite Lage am, 2. Lage, 2. Lage am
    fr: deuxième couche, deuxième couche le, 2e couche, 2ème couche, date de la deuxième couche,
        recouvert le, seconde couche, seconde couche le, 2e couche le, date 2e couche
    es: segunda capa, segunda capa el, 2ª capa, 2a capa, fecha de la segunda capa, repintado el,
        2ª mano, segunda mano, segunda mano el, fecha 2ª capa, fecha segunda mano
    it: seconda mano, seconda mano il, 2ª mano, 2a mano, secondo strato, data seconda mano,
        sovraverniciato il, 2º strato, secondo strato il, data 2ª mano, data della seconda mano
    pl: druga warstwa, 2. warstwa, data drugiej warstwy, drugą warstwę nałożono, 2. warstwa dnia,
        data 2. warstwy, druga powłoka
    nl: tweede laag, tweede laag op, 2e laag, datum tweede laag, overschilderd op, 2e laag op,
        datum 2e laag, tweede laag datum
    cs: druhá vrstva, 2. vrstva, druhý nátěr, 2. nátěr, datum druhé vrstvy, datum druhého nátěru,
        2. vrstva dne, datum 2. vrstvy, druhý nátěr dne
    hu: 2. réteg felhordva, 2. réteg, második réteg, második réteg felhordva, 2. réteg dátuma
"""

COAT_3_ON = """
    en: third coat on, third coat, 3rd coat, 3rd coat on, coat 3, coat 3 on, date of third coat,
        date of 3rd coat, third coat applied
    de: dritte Schicht, dritte Schicht am, 3. Schicht, 3. Schicht am, dritter Anstrich, 3. Anstrich,
        3. Anstrich am, Datum 3. Schicht, 3. Lage, 3. Lage am
    fr: troisième couche, troisième couche le, 3e couche, 3ème couche, date de la troisième couche
    es: tercera capa, tercera capa el, 3ª capa, 3a capa, fecha de la tercera capa, 3ª mano,
        tercera mano
    it: terza mano, terza mano il, 3ª mano, 3a mano, terzo strato, data terza mano, 3º strato
    pl: trzecia warstwa, 3. warstwa, data trzeciej warstwy, trzecią warstwę nałożono
    nl: derde laag, derde laag op, 3e laag, datum derde laag, 3e laag op
    cs: třetí vrstva, 3. vrstva, třetí nátěr, 3. nátěr, datum třetí vrstvy, datum třetího nátěru
    hu: 3. réteg felhordva, 3. réteg, harmadik réteg, harmadik réteg felhordva, 3. réteg dátuma
"""

IMMERSED_AT = """
    en: in bath from, in the bath from, bath from, immersed from, in water since, put into bath,
        bath since, in the bath since, immersed, immersed at, immersed on, immersion start,
        start of immersion, in bath since, immersion date, date immersed, exposure start,
        start of exposure, exposed since, exposed on, date of immersion, into bath, immersion began,
        immersed since, in test since, test start, immersion, bath, bath start, start in bath,
        into the bath, immersion from, into immersion, put in bath, date into bath, start immersion,
        EIS start, bath entry
    de: Eintauchbeginn, Eintauchzeitpunkt, Tauchstart, Start der Tauchung,
        im Bad ab, im Bad von, getaucht seit, in das Bad, ins Bad, Tauchdatum, Badbeginn,
        eingetaucht, eingetaucht am, Tauchbeginn, Beginn der Tauchung, Beginn Immersion,
        Eintauchdatum, im Bad seit, Auslagerungsbeginn, Expositionsbeginn, ausgelagert am,
        Beginn der Auslagerung, Beginn der Belastung, eingelagert am, Prüfbeginn, Immersion,
        Tauchung, Einlagerung, Bad, Bad ab, Beginn Tauchbad, Badstart, Start Immersion,
        Immersion ab, Einlagerung am, Start im Bad, in Lösung seit, im Salzwasser seit, Tauchbad ab
    fr: début immersion,
        dans le bain à partir du, immergé depuis, dans le bain depuis, au bain depuis, immergé,
        immergé le, début d'immersion, date d'immersion, mise en immersion, début d'exposition,
        début de l'immersion, immersion, bain, mise au bain, mise en bain, entrée au bain,
        immersion le, début du bain, dans le bain le
    es: puesta en inmersión,
        sumergido desde, en el baño desde, en baño desde, sumergido, sumergido el,
        inicio de inmersión, fecha de inmersión, inicio de exposición, inicio de la inmersión,
        inmersión, baño, entrada en baño, entrada al baño, inmersión el, puesto en baño,
        inicio en baño, inicio inmersión, en inmersión desde
    it: messa in immersione,
        immerso dal, nel bagno dal, in bagno dal, immerso, immerso il, inizio immersione,
        data di immersione, inizio esposizione, inizio dell'immersione, immersione, bagno,
        entrata in bagno, messa in bagno, immersione il, messo in bagno, inizio bagno,
        in immersione dal
    pl: moment zanurzenia,
        zanurzono od, w kąpieli od dnia, w kąpieli od, zanurzono dnia, zanurzono,
        początek zanurzenia, data zanurzenia, start zanurzenia, początek ekspozycji, zanurzenie,
        kąpiel, zanurzenie od, początek kąpieli, wstawiono do kąpieli, do kąpieli,
        włożono do kąpieli, zanurzona od
    nl: ondergedompeld sinds, in bad sinds, in het bad sinds, datum onderdompeling,
        start onderdompeling, ondergedompeld, ondergedompeld op, begin onderdompeling,
        start immersie, immersiedatum, begin blootstelling, immersie, bad, onderdompeling, in bad,
        in het bad, in bad op, in bad vanaf, start bad, immersie vanaf
    cs: začátek ponoření,
        ponořeno dne od, ve vodě od, v lázni od, ponořeno od, ponořeno, ponořeno dne,
        začátek ponoru, datum ponoru, začátek expozice, ponor, lázeň, ponor od, vložení do lázně,
        do lázně, začátek lázně, v ponoru od, ponoření, vloženo do lázně
    hu: bemerítve, bemerítés, merítés kezdete, áztatás kezdete
"""

EXPOSED_AT = """
    en: start, started, started on, start date, begin, begun, start of test, panels in, put in, in cabinet, in cabinet since, in chamber, in chamber since, into cabinet,
        exposure started, exposure began, started exposure, test began, start of salt spray,
        salt spray started, on the rack since, put out, outside since
    de: Start, Beginn, Startdatum, Prüfbeginn, Einlagerung, eingelegt, eingelegt am, eingebaut, eingebaut am, Start der Belastung,
        Beginn Salzsprühtest, Salzsprühtest ab, in der Kammer seit, Auslagerung seit, ausgehängt am
    fr: début, début d'essai, début de l'essai, mise en enceinte, mise en essai, en enceinte depuis, début du brouillard salin,
        exposé depuis, exposée le, exposé le
    es: inicio, inicio del ensayo, entrada en cámara, en cámara desde, expuesto desde, expuesto el, puesta en cámara
    it: inizio, inizio prova, inizio della prova, ingresso in camera, in camera dal, messa in camera, esposto dal, esposto il
    pl: start, początek, rozpoczęcie, początek badania, włożono do komory, w komorze od, wystawiono, wystawiono dnia
    nl: start, begin, startdatum, begin proef, in kast sinds, in de kast sinds, begin zoutneveltest, blootgesteld sinds
    cs: start, začátek, zahájení, vloženo do komory, v komoře od, začátek zkoušky, vystaveno od, vystaveno dne
"""

BESIDE = """
    Sa, Rz, Ra
    en: size, panel size, dimensions, length, width, panel thickness, steel thickness, profile,
        roughness, surface profile, cleanliness, cured, curing, cure, cure time, drying, dried,
        test, tests, planned test, purpose, position, rack, place, storage, photo, scribe, scribed,
        humidity, temperature, dew point, application method, method, applicator, wet film, WFT,
        project, study, customer, order, min, max, sd, cupboard, shelf, tray, box, box no, location,
        store, steel grade thickness, sheet thickness, coats no, number of coats, drawer
    de: Größe, Format, Abmessungen, Länge, Breite, Blechdicke, Rauheit, Rautiefe, Reinheit,
        Aushärtung, Trocknung, Härtung, Prüfung, Prüfungen, Zweck, Platz, Lagerort, Foto, Ritz,
        geritzt, Luftfeuchte, Temperatur, Taupunkt, Auftragsart, Applikationsverfahren, Verfahren,
        Rakel, Nassfilm, Projekt, Studie, Kunde, Auftrag, Schrank, Regal, Fach, Kiste,
        Anzahl Schichten, Schublade, Lager
    fr: taille, dimensions, longueur, largeur, rugosité, propreté, durcissement, séchage, essai,
        essais, rayure, photo, humidité, température, méthode, projet, étude, client, armoire,
        étagère, boîte, emplacement, nombre de couches, tiroir, casier
    es: tamaño, dimensiones, longitud, ancho, rugosidad, limpieza, curado, secado, ensayo, ensayos,
        incisión, foto, humedad, temperatura, método, proyecto, estudio, cliente, armario, estante,
        caja, ubicación, número de capas, cajón, bandeja, sitio
    it: dimensioni, lunghezza, larghezza, rugosità, pulizia, indurimento, essiccazione, prova,
        prove, incisione, foto, umidità, temperatura, metodo, progetto, studio, cliente, armadio,
        scaffale, scatola, posizione, numero di strati, cassetto
    pl: wymiary, długość, szerokość, chropowatość, czystość, utwardzanie, suszenie, badanie,
        badania, rysa, zdjęcie, wilgotność, temperatura, metoda, projekt, klient, szafa, półka,
        pudełko, miejsce, liczba warstw, szuflada
    nl: afmetingen, lengte, breedte, ruwheid, reinheid, uitharding, droging, proef, proeven, kras,
        foto, vochtigheid, temperatuur, methode, project, studie, klant, kast, plank, doos, plaats,
        aantal lagen, lade, rek
    cs: rozměry, délka, šířka, drsnost, čistota, vytvrzení, sušení, zkouška, zkoušky, řez,
        fotografie, vlhkost, teplota, metoda, projekt, studie, zákazník, skříň, police, krabice,
        umístění, počet vrstev, zásuvka
"""
