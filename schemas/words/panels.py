"""What the columns of the register of panels are called."""

SUBSTRATE = """
    en: substrate, base material, steel, surface, surface preparation, substrate material,
        panel material, base metal, metal, pretreatment, preparation, blasting, underground,
        substrate and preparation, steel grade, plate material
    de: Untergrund, Substrat, Grundwerkstoff, Stahl, Oberfläche, Oberflächenvorbereitung, Werkstoff,
        Blech, Material, Vorbereitung, Vorbehandlung, Strahlgrad, Trägermaterial, Plattenmaterial,
        Blechsorte
    fr: support, substrat, subjectile, acier, métal, matériau, préparation, préparation de surface,
        matériau du support, nuance d'acier, prétraitement
    es: sustrato, soporte, acero, metal, material, preparación, preparación de superficie,
        material base, pretratamiento
    it: supporto, substrato, acciaio, metallo, materiale, preparazione,
        preparazione della superficie, materiale di base, pretrattamento
    pl: podłoże, stal, metal, materiał, przygotowanie, przygotowanie powierzchni,
        materiał podłoża, rodzaj podłoża
    nl: ondergrond, substraat, staal, metaal, materiaal, voorbehandeling, oppervlaktevoorbereiding,
        ondergrondmateriaal, staalsoort
    cs: podklad, substrát, ocel, kov, materiál, příprava povrchu, podkladový materiál,
        předúprava, předúprava povrchu
"""

COAT_SYSTEM = """
    en: coat system, coating system, system, paint system, coats, build-up, buildup, layers,
        coating, scheme, paint scheme, coating scheme, protective system, build,
        protective paint system
    de: Beschichtungssystem, System, Aufbau, Schichtaufbau, Beschichtungsaufbau, Lackaufbau,
        Schichten, Beschichtung, Anstrichsystem, Systemaufbau, Anstrichaufbau,
        Korrosionsschutzsystem
    fr: système, système de peinture, système de revêtement, couches, revêtement, gamme,
        système de protection, schéma de peinture
    es: sistema, sistema de pintura, sistema de recubrimiento, capas, recubrimiento, esquema,
        esquema de pintado, sistema protector
    it: sistema, ciclo, ciclo di verniciatura, sistema di pitturazione, strati, rivestimento,
        ciclo di pitturazione, sistema di rivestimento, sistema protettivo
    pl: system, system powłokowy, system malarski, zestaw, warstwy, powłoka, zestaw malarski,
        układ warstw, zestaw powłokowy
    nl: systeem, verfsysteem, laagopbouw, coatingsysteem, lagen, opbouw, beschermingssysteem
    cs: systém, nátěrový systém, skladba, povlakový systém, vrstvy, nátěr, skladba vrstev,
        ochranný nátěrový systém
"""

THICKNESS_UM = """
    DFT, TSD, EPS, NDFT, d
    en: dry film, dry film thickness, thickness, film thickness, coating thickness, mean DFT,
        total thickness, total DFT, average DFT, mean thickness, system thickness, layer thickness
    de: Trockenschichtdicke, Schichtdicke, Dicke, Trockenfilm, Filmdicke, Gesamtschichtdicke,
        mittlere Schichtdicke, Trockenfilmdicke, Beschichtungsdicke, Schichtstärke
    fr: épaisseur, épaisseur sèche, épaisseur de film sec, épaisseur du feuil sec, épaisseur totale,
        épaisseur du film, film sec
    es: espesor, espesor seco, espesor de película seca, espesor total, película seca,
        espesor de película
    it: spessore, spessore secco, spessore film secco, spessore totale, film secco, spessore film
    pl: grubość, grubość powłoki, grubość suchej powłoki, grubość całkowita, sucha powłoka,
        grubość filmu
    nl: dikte, laagdikte, droge laagdikte, totale laagdikte, droge film, filmdikte
    cs: tloušťka, tloušťka suchého filmu, tloušťka povlaku, celková tloušťka, suchý film,
        tloušťka nátěru
"""

COATED_ON = """
    en: coated, coated on, painted, painted on, applied, applied on, date coated, coating date,
        application date, application, date of application, date painted, date of coating, sprayed,
        sprayed on, drawn down on, drawdown date, coated at, applied at
    de: beschichtet, beschichtet am, lackiert, lackiert am, appliziert, appliziert am,
        Beschichtungsdatum, Applikationsdatum, Applikation, gespritzt am, aufgetragen am,
        aufgezogen am, gestrichen am, Auftragsdatum, Datum der Beschichtung
    fr: revêtu, revêtu le, peint, peint le, appliqué, appliqué le, date d'application,
        date de peinture, application, date de revêtement
    es: recubierto, recubierto el, pintado, pintado el, aplicado, aplicado el,
        fecha de aplicación, fecha de pintado, aplicación, fecha de recubrimiento
    it: rivestito, rivestito il, verniciato, verniciato il, applicato, applicato il,
        data di applicazione, data di verniciatura, applicazione, data applicazione
    pl: malowano, pomalowano, data malowania, data aplikacji, naniesiono, aplikacja,
        data nałożenia, nałożono
    nl: gecoat, gecoat op, geschilderd, geschilderd op, aangebracht, aangebracht op,
        applicatiedatum, datum applicatie, coatingdatum
    cs: natřeno, natřeno dne, nanesen, naneseno, datum nanášení, datum aplikace, datum nátěru,
        aplikace, lakováno dne
"""

IMMERSED_AT = """
    en: immersed, immersed at, immersed on, immersion start, start of immersion, in bath since,
        immersion date, date immersed, exposure start, start of exposure, exposed since,
        exposed on, date of immersion, into bath, immersion began, immersed since, in test since,
        test start
    de: eingetaucht, eingetaucht am, Tauchbeginn, Beginn der Tauchung, Beginn Immersion,
        Eintauchdatum, im Bad seit, Auslagerungsbeginn, Expositionsbeginn, ausgelagert am,
        Beginn der Auslagerung, Beginn der Belastung, eingelagert am, Prüfbeginn
    fr: immergé, immergé le, début d'immersion, date d'immersion, mise en immersion,
        début d'exposition, début de l'immersion
    es: sumergido, sumergido el, inicio de inmersión, fecha de inmersión, inicio de exposición,
        inicio de la inmersión
    it: immerso, immerso il, inizio immersione, data di immersione, inizio esposizione,
        inizio dell'immersione
    pl: zanurzono, początek zanurzenia, data zanurzenia, start zanurzenia, początek ekspozycji
    nl: ondergedompeld, ondergedompeld op, begin onderdompeling, start immersie,
        immersiedatum, begin blootstelling
    cs: ponořeno, ponořeno dne, začátek ponoru, datum ponoru, začátek expozice
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
