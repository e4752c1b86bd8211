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
"""

COAT_SYSTEM = """
    en: system of coats, coat build-up,
        coat system, coating system, system, paint system, coats, build-up, buildup, layers,
        coating, scheme, paint scheme, coating scheme, protective system, build,
        protective paint system
    de: Beschichtungsplan,
        Beschichtungssystem, System, Aufbau, Schichtaufbau, Beschichtungsaufbau, Lackaufbau,
        Schichten, Beschichtung, Anstrichsystem, Systemaufbau, Anstrichaufbau,
        Korrosionsschutzsystem
    fr: système de couches,
        système, système de peinture, système de revêtement, couches, revêtement, gamme,
        système de protection, schéma de peinture
    es: sistema de capas,
        sistema, sistema de pintura, sistema de recubrimiento, capas, recubrimiento, esquema,
        esquema de pintado, sistema protector
    it: sistema di strati,
        sistema, ciclo, ciclo di verniciatura, sistema di pitturazione, strati, rivestimento,
        ciclo di pitturazione, sistema di rivestimento, sistema protettivo
    pl: system powłok, system farb,
        system, system powłokowy, system malarski, zestaw, warstwy, powłoka, zestaw malarski,
        układ warstw, zestaw powłokowy
    nl: verflagen, coatingopbouw,
        systeem, verfsysteem, laagopbouw, coatingsysteem, lagen, opbouw, beschermingssysteem
    cs: systém povlaků, systém nátěrů, nátěrová skladba,
        systém, nátěrový systém, skladba, povlakový systém, vrstvy, nátěr, skladba vrstev,
        ochranný nátěrový systém
"""

THICKNESS_UM = """
    GSP, DLD, DFT total
    DFT, TSD, EPS, NDFT, d
    en: dry thickness, dry film thickness (DFT),
        dry film, dry film thickness, thickness, film thickness, coating thickness, mean DFT,
        total thickness, total DFT, average DFT, mean thickness, system thickness, layer thickness
    de: Trockendicke,
        Trockenschichtdicke, Schichtdicke, Dicke, Trockenfilm, Filmdicke, Gesamtschichtdicke,
        mittlere Schichtdicke, Trockenfilmdicke, Beschichtungsdicke, Schichtstärke
    fr: épaisseur du film sec, épaisseur de revêtement, épaisseur du revêtement,
        épaisseur, épaisseur sèche, épaisseur de film sec, épaisseur du feuil sec, épaisseur totale,
        épaisseur du film, film sec
    es: espesor de la película, espesor de recubrimiento, espesor del recubrimiento,
        espesor, espesor seco, espesor de película seca, espesor total, película seca,
        espesor de película
    it: spessore del film, spessore del film secco, spessore del rivestimento,
        spessore, spessore secco, spessore film secco, spessore totale, film secco, spessore film
    pl: grubość warstwy, grubość suchej warstwy,
        grubość, grubość powłoki, grubość suchej powłoki, grubość całkowita, sucha powłoka,
        grubość filmu
    nl: droge filmdikte, coatingdikte,
        dikte, laagdikte, droge laagdikte, totale laagdikte, droge film, filmdikte
    cs: tloušťka suché vrstvy, tloušťka vrstvy,
        tloušťka, tloušťka suchého filmu, tloušťka povlaku, celková tloušťka, suchý film,
        tloušťka nátěru
"""

COATED_ON = """
    en: day coated, painting date, paint date,
        coated, coated on, painted, painted on, applied, applied on, date coated, coating date,
        application date, application, date of application, date painted, date of coating, sprayed,
        sprayed on, drawn down on, drawdown date, coated at, applied at
    de: Lackierdatum, Datum der Applikation, Datum Beschichtung,
        beschichtet, beschichtet am, lackiert, lackiert am, appliziert, appliziert am,
        Beschichtungsdatum, Applikationsdatum, Applikation, gespritzt am, aufgetragen am,
        aufgezogen am, gestrichen am, Auftragsdatum, Datum der Beschichtung
    fr: date du revêtement, date de mise en peinture, date d'enduction,
        revêtu, revêtu le, peint, peint le, appliqué, appliqué le, date d'application,
        date de peinture, application, date de revêtement
    es: fecha de pintura, fecha de la aplicación,
        recubierto, recubierto el, pintado, pintado el, aplicado, aplicado el,
        fecha de aplicación, fecha de pintado, aplicación, fecha de recubrimiento
    it: data di pitturazione, data di rivestimento,
        rivestito, rivestito il, verniciato, verniciato il, applicato, applicato il,
        data di applicazione, data di verniciatura, applicazione, data applicazione
    pl: data nakładania, data powlekania, data pokrycia,
        malowano, pomalowano, data malowania, data aplikacji, naniesiono, aplikacja,
        data nałożenia, nałożono
    nl: datum coaten, datum schilderen, datum aanbrengen, datum van coaten,
        gecoat, gecoat op, geschilderd, geschilderd op, aangebracht, aangebracht op,
        applicatiedatum, datum applicatie, coatingdatum
    cs: datum lakování, datum povlakování, naneseno dne,
        natřeno, natřeno dne, nanesen, naneseno, datum nanášení, datum aplikace, datum nátěru,
        aplikace, lakováno dne
"""

COAT_2_ON = """
    en: second coat on, second coat, 2nd coat, 2nd coat on, coat 2, coat 2 on, date of second coat,
        date of 2nd coat, second coat applied, overcoated, overcoated on, overcoating date
    de: zweite Schicht, zweite Schicht am, 2. Schicht, 2. Schicht am, zweiter Anstrich,
        2. Anstrich, 2. Anstrich am, überlackiert am, überbeschichtet am, Datum 2. Schicht
    fr: deuxième couche, deuxième couche le, 2e couche, 2ème couche, date de la deuxième couche,
        recouvert le
    es: segunda capa, segunda capa el, 2ª capa, 2a capa, fecha de la segunda capa, repintado el
    it: seconda mano, seconda mano il, 2ª mano, 2a mano, secondo strato, data seconda mano,
        sovraverniciato il
    pl: druga warstwa, 2. warstwa, data drugiej warstwy, drugą warstwę nałożono
    nl: tweede laag, tweede laag op, 2e laag, datum tweede laag, overschilderd op
    cs: druhá vrstva, 2. vrstva, druhý nátěr, 2. nátěr, datum druhé vrstvy, datum druhého nátěru
"""

COAT_3_ON = """
    en: third coat on, third coat, 3rd coat, 3rd coat on, coat 3, coat 3 on, date of third coat,
        date of 3rd coat, third coat applied
    de: dritte Schicht, dritte Schicht am, 3. Schicht, 3. Schicht am, dritter Anstrich,
        3. Anstrich, 3. Anstrich am, Datum 3. Schicht
    fr: troisième couche, troisième couche le, 3e couche, 3ème couche, date de la troisième couche
    es: tercera capa, tercera capa el, 3ª capa, 3a capa, fecha de la tercera capa
    it: terza mano, terza mano il, 3ª mano, 3a mano, terzo strato, data terza mano
    pl: trzecia warstwa, 3. warstwa, data trzeciej warstwy, trzecią warstwę nałożono
    nl: derde laag, derde laag op, 3e laag, datum derde laag
    cs: třetí vrstva, 3. vrstva, třetí nátěr, 3. nátěr, datum třetí vrstvy, datum třetího nátěru
"""

IMMERSED_AT = """
    en: in bath from, in the bath from, bath from, immersed from, in water since,
        put into bath, bath since, in the bath since,
        immersed, immersed at, immersed on, immersion start, start of immersion, in bath since,
        immersion date, date immersed, exposure start, start of exposure, exposed since,
        exposed on, date of immersion, into bath, immersion began, immersed since, in test since,
        test start
    de: im Bad ab, im Bad von, getaucht seit,
        in das Bad, ins Bad, Tauchdatum, Badbeginn,
        eingetaucht, eingetaucht am, Tauchbeginn, Beginn der Tauchung, Beginn Immersion,
        Eintauchdatum, im Bad seit, Auslagerungsbeginn, Expositionsbeginn, ausgelagert am,
        Beginn der Auslagerung, Beginn der Belastung, eingelagert am, Prüfbeginn
    fr: dans le bain à partir du, immergé depuis,
        dans le bain depuis, au bain depuis,
        immergé, immergé le, début d'immersion, date d'immersion, mise en immersion,
        début d'exposition, début de l'immersion
    es: sumergido desde,
        en el baño desde, en baño desde,
        sumergido, sumergido el, inicio de inmersión, fecha de inmersión, inicio de exposición,
        inicio de la inmersión
    it: immerso dal,
        nel bagno dal, in bagno dal,
        immerso, immerso il, inizio immersione, data di immersione, inizio esposizione,
        inizio dell'immersione
    pl: zanurzono od, w kąpieli od dnia,
        w kąpieli od, zanurzono dnia,
        zanurzono, początek zanurzenia, data zanurzenia, start zanurzenia, początek ekspozycji
    nl: ondergedompeld sinds,
        in bad sinds, in het bad sinds, datum onderdompeling, start onderdompeling,
        ondergedompeld, ondergedompeld op, begin onderdompeling, start immersie,
        immersiedatum, begin blootstelling
    cs: ponořeno dne od, ve vodě od,
        v lázni od, ponořeno od,
        ponořeno, ponořeno dne, začátek ponoru, datum ponoru, začátek expozice
"""

BESIDE = """
    Sa, Rz, Ra
    en: size, panel size, dimensions, length, width, panel thickness, steel thickness, profile,
        roughness, surface profile, cleanliness, cured, curing, cure, cure time, drying, dried,
        test, tests, planned test, purpose, position, rack, place, storage, photo, scribe, scribed,
        humidity, temperature, dew point, application method, method, applicator, wet film, WFT,
        project, study, customer, order, min, max, sd
    de: Größe, Format, Abmessungen, Länge, Breite, Blechdicke, Rauheit, Rautiefe, Reinheit,
        Aushärtung, Trocknung, Härtung, Prüfung, Prüfungen, Zweck, Platz, Lagerort, Foto, Ritz,
        geritzt, Luftfeuchte, Temperatur, Taupunkt, Auftragsart, Applikationsverfahren, Verfahren,
        Rakel, Nassfilm, Projekt, Studie, Kunde, Auftrag
    fr: taille, dimensions, longueur, largeur, rugosité, propreté, durcissement, séchage, essai,
        essais, rayure, photo, humidité, température, méthode, projet, étude, client
    es: tamaño, dimensiones, longitud, ancho, rugosidad, limpieza, curado, secado, ensayo, ensayos,
        incisión, foto, humedad, temperatura, método, proyecto, estudio, cliente
    it: dimensioni, lunghezza, larghezza, rugosità, pulizia, indurimento, essiccazione, prova,
        prove, incisione, foto, umidità, temperatura, metodo, progetto, studio, cliente
    pl: wymiary, długość, szerokość, chropowatość, czystość, utwardzanie, suszenie, badanie,
        badania, rysa, zdjęcie, wilgotność, temperatura, metoda, projekt, klient
    nl: afmetingen, lengte, breedte, ruwheid, reinheid, uitharding, droging, proef, proeven, kras,
        foto, vochtigheid, temperatuur, methode, project, studie, klant
    cs: rozměry, délka, šířka, drsnost, čistota, vytvrzení, sušení, zkouška, zkoušky, řez,
        fotografie, vlhkost, teplota, metoda, projekt, studie, zákazník
"""
