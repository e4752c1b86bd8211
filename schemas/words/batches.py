"""What the columns of the register of batches are called."""

RECIPE = """
    en: recipe, formulation, formula, recipe no, formulation no, formula no, recipe name, base,
        base recipe, paint, composition, product, material, mix, mixture, formulation code,
        base paint, base formulation, recipe code
    de: Rezeptur, Rezept, Formulierung, Rezeptur Nr, Rezept Nr, Richtrezeptur, Basisrezeptur, Lack,
        Zusammensetzung, Produkt, Material, Mischung, Grundrezeptur, Basislack
    fr: recette, formule, formulation, formulation no, formule no, peinture, composition, produit,
        formule de base
    es: receta, fórmula, formulación, fórmula no, pintura, composición, producto, fórmula base,
        mezcla
    it: ricetta, formula, formulazione, formula n, pittura, vernice, composizione, prodotto,
        formula base, miscela
    pl: receptura, przepis, formulacja, receptura nr, farba, skład, produkt, receptura bazowa,
        mieszanka
    nl: recept, receptuur, formulering, formule, recept nr, verf, samenstelling, product,
        basisrecept, mengsel
    cs: receptura, recept, formulace, receptura č, barva, složení, výrobek, základní receptura,
        směs
"""

CANDIDATE = """
    en: candidate, raw material, additive, filler, pigment, extender, ingredient, test material,
        variable, varied raw material, substance, raw material under test, replaced by,
        alternative, variant material, test raw material, material under test, candidate material,
        replacement
    de: Prüfstoff, zu prüfender Rohstoff, Rohstoff im Test,
        Kandidat, Rohstoff, Additiv, Füllstoff, Pigment, Prüfrohstoff, Testrohstoff, Zusatz,
        Zusatzstoff, Variable, variierter Rohstoff, Substanz, Alternative, Ersatz, Austauschstoff,
        geprüfter Rohstoff
    fr: matière à l'essai, matière essayée, produit à l'essai, matière première à l'essai,
        candidat, matière première, additif, charge, pigment, ingrédient, matière d'essai,
        variable, substance, matière testée
    es: material en ensayo, materia en ensayo, materia prima en ensayo,
        candidato, materia prima, aditivo, carga, pigmento, ingrediente, material de ensayo,
        variable, sustancia
    it: materiale in prova, materia in prova, materia prima in prova,
        candidato, materia prima, additivo, carica, pigmento, ingrediente, materiale di prova,
        variabile, sostanza
    pl: materiał badany, surowiec badany,
        kandydat, surowiec, dodatek, wypełniacz, pigment, składnik, badany surowiec, zmienna,
        substancja
    nl: grondstof in onderzoek, te onderzoeken grondstof, testgrondstof,
        kandidaat, grondstof, additief, toevoeging, vulstof, pigment, ingrediënt,
        onderzochte grondstof, variabele, stof
    cs: zkoušený materiál, zkoušená látka,
        kandidát, surovina, přísada, aditivum, plnivo, pigment, složka, zkoušená surovina, proměnná,
        látka
"""

DOSE_PERCENT = """
    %, wt%, % w/w, m%, % m/m, Gew%, w
    en: dose, dosage, level, loading, addition, amount, content, share, dose level, mass fraction,
        weight percent, percent by mass, percent by weight, wt percent, concentration,
        addition level,
        use level, percentage, loading level, weight fraction
    de: Dosis, Dosierung, Zugabe, Menge, Zugabemenge, Anteil, Gehalt, Massenanteil, Einsatzmenge,
        Gewichtsprozent, Massenprozent, Gew-%, Konzentration, Zusatzmenge, Gewichtsanteil, Masse-%
    fr: dose, dosage, ajout, taux, teneur, quantité, fraction massique, pourcentage, concentration,
        pourcentage massique, taux d'ajout
    es: dosis, dosificación, adición, contenido, cantidad, fracción másica, porcentaje,
        concentración, porcentaje en masa
    it: dose, dosaggio, aggiunta, contenuto, quantità, frazione in massa, percentuale,
        concentrazione, percentuale in massa
    pl: dawka, dozowanie, zawartość, ilość, udział masowy, procent, stężenie, procent masowy,
        dodano
    nl: dosis, dosering, gehalte, hoeveelheid, massafractie, percentage, concentratie,
        massapercentage, gewichtsprocent
    cs: dávka, dávkování, přídavek, obsah, množství, hmotnostní podíl, procento, koncentrace,
        hmotnostní procento
"""

ROLE = """
    en: control/candidate, candidate/control, control?, reference/candidate,
        role, type, function, kind, status, group, batch type, control or candidate, class,
        category, purpose
    de: Kontrolle/Kandidat, Kandidat/Kontrolle, Kontrolle oder Kandidat,
        Rolle, Typ, Art, Funktion, Gruppe, Chargentyp, Klasse, Kategorie, Zweck, Status
    fr: témoin/candidat, contrôle/candidat,
        rôle, type, fonction, groupe, catégorie, statut, genre
    es: control/candidato, referencia/candidato,
        papel, función, tipo, grupo, categoría, rol, estado
    it: controllo/candidato, riferimento/candidato,
        ruolo, tipo, funzione, gruppo, categoria, stato
    pl: kontrola/kandydat,
        rola, typ, funkcja, grupa, kategoria, rodzaj
    nl: controle/kandidaat, referentie/kandidaat,
        rol, type, functie, groep, categorie, soort
    cs: kontrola/kandidát,
        role, typ, funkce, skupina, kategorie, druh, úloha
"""

ROLE_VALUES = """
    control =
        ctrl, ref, std, C0
        en: reference, standard, blank, baseline, base, zero, control batch, null, untreated,
            without additive, without, comparison standard
        de: Kontrolle, Referenz, Standard, Nullprobe, Nullmuster, Vergleich, Nullcharge, Basis,
            Vergleichsmuster, Blindprobe, Bezug, Kontrollcharge, Nullansatz
        fr: contrôle, témoin, référence, standard, base, blanc
        es: control, referencia, patrón, testigo, estándar, base, blanco
        it: controllo, riferimento, standard, testimone, base, bianco
        pl: kontrola, kontrolna, referencja, odniesienie, wzorzec, próba zerowa, standard, zerowa,
            referencyjna
        nl: controle, referentie, standaard, blanco, nul, basis
        cs: kontrola, kontrolní, reference, referenční, standard, srovnávací, nulová, slepý vzorek;
    candidate =
        cand
        en: test, trial, variant, experimental, sample, candidate batch, test batch, experiment,
            alternative, development
        de: Kandidat, Versuch, Variante, Test, Muster, Prüfmuster, Versuchscharge, Alternative,
            Prüfling, Versuchsansatz
        fr: candidat, essai, variante, expérimental
        es: candidato, ensayo, prueba, variante, experimental
        it: candidato, prova, variante, sperimentale
        pl: kandydat, próba, wariant, badana, doświadczalna, testowa
        nl: kandidaat, proef, variant, experimenteel, experiment
        cs: kandidát, kandidátní, zkouška, varianta, pokus, pokusná, zkoušená
"""

MIXED_ON = """
    en: date of preparation, preparation date, date of make,
        mixed, mixed on, mixed at, made, made on, date mixed, mixing date, production date,
        produced,
        manufactured, manufactured on, date of manufacture, prepared, prepared on, date made,
        date of mixing, date prepared, batch date, produced on, dispersed on, ground on
    de: Datum des Mischens, Ansetzdatum,
        gemischt, gemischt am, angemischt, angemischt am, hergestellt, hergestellt am, Mischdatum,
        Herstelldatum, Herstellungsdatum, Produktionsdatum, Ansatzdatum, angesetzt, angesetzt am,
        produziert am, Datum der Herstellung, dispergiert am
    fr: date du mélange,
        mélangé, mélangé le, fabriqué, fabriqué le, préparé, préparé le, date de mélange,
        date de fabrication, date de préparation, date de production
    es: fecha de la mezcla, fecha de elaboración, elaborado el,
        mezclado, mezclado el, fabricado, fabricado el, preparado, preparado el, fecha de mezcla,
        fecha de fabricación, fecha de preparación, fecha de producción
    it: data di miscela, data di preparazione, fatto il,
        miscelato, miscelato il, prodotto il, preparato, preparato il, data di miscelazione,
        data di produzione, data di preparazione
    pl: data wymieszania, data wykonania, wykonano, data zmieszania, sporządzono,
        wymieszano, zmieszano, data mieszania, data produkcji, wyprodukowano, przygotowano,
        data przygotowania, data sporządzenia
    nl: datum mengen, aanmaakdatum, datum aanmaak, aangemaakt op,
        gemengd, gemengd op, gemaakt, gemaakt op, mengdatum, productiedatum, bereid,
        datum bereiding, geproduceerd op
    cs: smícháno, smícháno dne, datum smíchání, datum přípravy,
        namícháno, namícháno dne, datum míchání, vyrobeno, datum výroby, připraveno,
        datum přípravy
"""

BESIDE = """
    PVC, P/B, VOC, SBV, PVK
    en: size, batch size, weight, mass, volume, density, viscosity, solids, supplier, manufacturer,
        supplier lot, lot of raw material, project, study, customer, order, responsible, chemist,
        pigment volume concentration, hardener, mixing ratio, pot life, location, shelf, barcode
    de: Größe, Ansatzgröße, Gewicht, Volumen, Dichte, Viskosität, Festkörper, Lieferant, Hersteller,
        Projekt, Studie, Kunde, Auftrag, Verantwortlicher, Chemiker, Härter, Mischungsverhältnis,
        Topfzeit, Lagerort
    fr: taille, poids, volume, densité, viscosité, extrait sec, fournisseur, fabricant, projet,
        étude, client, commande, responsable, durcisseur, rapport de mélange
    es: tamaño, peso, volumen, densidad, viscosidad, sólidos, proveedor, fabricante, proyecto,
        estudio, cliente, pedido, responsable, endurecedor, relación de mezcla
    it: dimensione, peso, volume, densità, viscosità, solidi, fornitore, produttore, progetto,
        studio, cliente, ordine, responsabile, induritore, rapporto di miscelazione
    pl: wielkość, masa, objętość, gęstość, lepkość, dostawca, producent, projekt, klient,
        zamówienie, odpowiedzialny, utwardzacz, proporcja mieszania
    nl: grootte, gewicht, volume, dichtheid, viscositeit, leverancier, fabrikant, project, studie,
        klant, order, verantwoordelijke, verharder, mengverhouding
    cs: velikost, hmotnost, objem, hustota, viskozita, dodavatel, výrobce, projekt, studie,
        zákazník, zakázka, odpovědný, tužidlo, mísicí poměr
"""
