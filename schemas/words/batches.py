"""What the columns of the register of batches are called."""

RECIPE = """
    en: recipe, formulation, formula, recipe no, formulation no, formula no, recipe name, base,
        base recipe, paint, composition, product, material, mix, mixture, formulation code,
        base paint, base formulation, recipe code, formula name, primer, paint name, base formula,
        coating, paint recipe
    de: Rezeptur, Rezept, Formulierung, Rezeptur Nr, Rezept Nr, Richtrezeptur, Basisrezeptur, Lack,
        Zusammensetzung, Produkt, Material, Mischung, Grundrezeptur, Basislack, Rezepturname,
        Grundierung, Formel, Rezeptname, Basisrezept, Beschichtungsstoff, Lackrezeptur
    fr: recette, formule, formulation, formulation no, formule no, peinture, composition, produit,
        formule de base, nom de la formule, primaire, revêtement, recette de base
    es: receta, fórmula, formulación, fórmula no, pintura, composición, producto, fórmula base,
        mezcla, nombre de la fórmula, imprimación, receta base, recubrimiento
    it: ricetta, formula, formulazione, formula n, pittura, vernice, composizione, prodotto,
        formula base, miscela, nome formula, primer, ricetta base, rivestimento
    pl: receptura, przepis, formulacja, receptura nr, farba, skład, produkt, receptura bazowa,
        mieszanka, nazwa receptury, podkład, wyrób, nazwa farby
    nl: recept, receptuur, formulering, formule, recept nr, verf, samenstelling, product,
        basisrecept, mengsel, receptnaam, primer, grondverf, coating
    cs: receptura, recept, formulace, receptura č, barva, složení, výrobek, základní receptura,
        směs, název receptury, základ, nátěrová hmota, název barvy
    hu: receptúra, recept
    pt: receita, formulação, fórmula, receita base, tinta, primário, produto, composição
"""

CANDIDATE = """
    en: candidate, raw material, additive, filler, pigment, extender, ingredient, test material,
        variable, varied raw material, substance, raw material under test, replaced by, alternative,
        variant material, test raw material, material under test, candidate material, replacement,
        candidate name, additive tested, filler tested, filler under test, pigment under test,
        additive under test, what was changed, modification, component varied,
        test substance
    de: Prüfstoff, zu prüfender Rohstoff, Rohstoff im Test, Kandidat, Rohstoff, Additiv, Füllstoff,
        Pigment, Prüfrohstoff, Testrohstoff, Zusatz, Zusatzstoff, Variable, variierter Rohstoff,
        Substanz, Alternative, Ersatz, Austauschstoff, geprüfter Rohstoff, Prüfadditiv,
        Prüffüllstoff, Prüfpigment, Zusatzmittel, geänderte Komponente, Modifikation, Änderung,
        Testmaterial, Testsubstanz, Prüfsubstanz
    fr: matière à l'essai, matière essayée, produit à l'essai, matière première à l'essai, candidat,
        matière première, additif, charge, pigment, ingrédient, matière d'essai, variable,
        substance, matière testée, additif testé, charge testée, pigment testé, modification,
        composant modifié, matière évaluée, candidat testé
    es: material en ensayo, materia en ensayo, materia prima en ensayo, candidato, materia prima,
        aditivo, carga, pigmento, ingrediente, material de ensayo, variable, sustancia,
        aditivo ensayado, carga ensayada, pigmento ensayado, modificación, material candidato,
        componente variado
    it: materiale in prova, materia in prova, materia prima in prova, candidato, materia prima,
        additivo, carica, pigmento, ingrediente, materiale di prova, variabile, sostanza,
        additivo in prova, carica in prova, pigmento in prova, modifica, componente variato,
        materiale candidato
    pl: materiał badany, surowiec badany, kandydat, surowiec, dodatek, wypełniacz, pigment,
        składnik, badany surowiec, zmienna, substancja, badany dodatek, badany wypełniacz,
        badany pigment, modyfikacja, zmiana, składnik badany
    nl: grondstof in onderzoek, te onderzoeken grondstof, testgrondstof, kandidaat, grondstof,
        additief, toevoeging, vulstof, pigment, ingrediënt, onderzochte grondstof, variabele, stof,
        getest additief, geteste vulstof, getest pigment, wijziging, aanpassing, geteste grondstof,
        testmateriaal
    cs: zkoušený materiál, zkoušená látka, kandidát, surovina, přísada, aditivum, plnivo, pigment,
        složka, zkoušená surovina, proměnná, látka, zkoušené plnivo, zkoušená přísada,
        zkoušený pigment, změna, úprava receptury, testovaná surovina
    hu: adalék, adalékanyag, jelölt
    pt: candidato, matéria-prima, aditivo, carga, pigmento, matéria-prima em ensaio, aditivo ensaiado
"""

DOSE_PERCENT = """
    %, wt%, % w/w, m%, % m/m, Gew%, w
    add {%}, addn {%}, additive {%}, filler {%}, pigment {%}, extender {%}, candidate {%}, raw material {%},
    defoamer {%}, by wt {%}, Zusatz {%}, Additiv {%}, Füllstoff {%}, Rohstoff {%}, Kandidat {%}, Entschäumer {%},
    additif {%}, charge {%}, candidat {%}, aditivo {%}, carga {%}, additivo {%}, carica {%}, dodatek {%},
    wypełniacz {%}, toevoeging {%}, additief {%}, vulstof {%}, přísada {%}, plnivo {%}
    en: dose, dosage, level, loading, addition, amount, content, share, dose level, mass fraction,
        weight percent, percent by mass, percent by weight, wt percent, concentration,
        addition level, use level, percentage, loading level, weight fraction, dose wt, dosed,
        added, amount added, percent added, addition rate, wt. %, weight %, percent, conc, on total
    de: Dosis, Dosierung, Zugabe, Menge, Zugabemenge, Anteil, Gehalt, Massenanteil, Einsatzmenge,
        Gewichtsprozent, Massenprozent, Gew-%, Konzentration, Zusatzmenge, Gewichtsanteil, Masse-%,
        Dosis Gew, Zusatz %, Zugabe Gew, Menge %, Anteil %, Gew.-Anteil, zugesetzt, Konz, zugegeben,
        Dosierg
    fr: dose, dosage, ajout, taux, teneur, quantité, fraction massique, pourcentage, concentration,
        pourcentage massique, taux d'ajout, dose massique, % ajouté, quantité ajoutée, ajouté, conc,
        taux massique, % masse, proportion
    es: dosis, dosificación, adición, contenido, cantidad, fracción másica, porcentaje,
        concentración, porcentaje en masa, % añadido, añadido, dosis en masa, cantidad añadida,
        conc, proporción, % en peso, porcentaje en peso
    it: dose, dosaggio, aggiunta, contenuto, quantità, frazione in massa, percentuale,
        concentrazione, percentuale in massa, % aggiunta, aggiunto, quantità aggiunta,
        dose in massa, conc, proporzione, % in peso, percentuale in peso
    pl: dawka, dozowanie, zawartość, ilość, udział masowy, procent, stężenie, procent masowy,
        dodano, dodatek %, ilość dodana, % wag, % mas, procent wagowy, udział, stęż
    nl: dosis, dosering, gehalte, hoeveelheid, massafractie, percentage, concentratie,
        massapercentage, gewichtsprocent, toegevoegd, toevoeging %, hoeveelheid toegevoegd,
        dosis massa, conc, aandeel, gewichtsfractie
    cs: dávka, dávkování, přídavek, obsah, množství, hmotnostní podíl, procento, koncentrace,
        hmotnostní procento, přidáno, přídavek %, množství přídavku, % hm, podíl, konc, dávka hm
    hu: adagolás, dózis, adalék mennyisége
    pt: dose, dosagem, teor, adição, percentagem, quantidade
"""

ROLE = """
    en: control/candidate, candidate/control, control?, reference/candidate, role, type, function,
        kind, status, group, batch type, control or candidate, class, category, purpose,
        control / test, test / control, test or control, control or test, batch role,
        position in study, candidate or control, kind of batch, is control
    de: Kontrolle/Kandidat, Kandidat/Kontrolle, Kontrolle oder Kandidat, Rolle, Typ, Art, Funktion,
        Gruppe, Chargentyp, Klasse, Kategorie, Zweck, Status, Rolle der Charge, Art der Charge,
        Kontrolle/Test, Test/Kontrolle, Bedeutung
    fr: témoin/candidat, contrôle/candidat, rôle, type, fonction, groupe, catégorie, statut, genre,
        rôle du lot, type de lot, témoin/essai, témoin ou candidat
    es: control/candidato, referencia/candidato, papel, función, tipo, grupo, categoría, rol,
        estado, papel del lote, tipo de lote, control/ensayo, control o candidato, clase
    it: controllo/candidato, riferimento/candidato, ruolo, tipo, funzione, gruppo, categoria, stato,
        ruolo del lotto, tipo di lotto, controllo o candidato, classe
    pl: kontrola/kandydat, rola, typ, funkcja, grupa, kategoria, rodzaj, rola partii, rodzaj partii,
        kontrola czy kandydat, klasa
    nl: controle/kandidaat, referentie/kandidaat, rol, type, functie, groep, categorie, soort,
        rol van batch, soort batch, controle of kandidaat, klasse
    cs: kontrola/kandidát, role, typ, funkce, skupina, kategorie, druh, úloha, role šarže,
        druh šarže, kontrola nebo kandidát, třída
    pt: função, papel, tipo, controlo/candidato, grupo, categoria
"""

ROLE_VALUES = """
    control =
        ctrl, ref, std, C0
        pt: controlo, controle, referência, padrão, testemunha, branco, base, lote de controlo,
            lote de referência, sem aditivo
        en: reference, standard, blank, baseline, base, zero, control batch, null, untreated,
            without additive, without, comparison standard, control paint, standard paint,
            reference batch, standard batch, blank batch, std batch, zero batch, unmodified,
            no additive, without filler, basis
        de: Kontrolle, Referenz, Standard, Nullprobe, Nullmuster, Vergleich, Nullcharge, Basis,
            Vergleichsmuster, Blindprobe, Bezug, Kontrollcharge, Nullansatz, Standardcharge,
            Referenzcharge, Basischarge, ohne Zusatz, ohne Additiv, Nullvariante, Vergleichscharge,
            Kontrollansatz, Referenzansatz, Nullserie, Urmuster
        fr: contrôle, témoin, référence, standard, base, blanc, lot témoin, lot de référence,
            sans additif, étalon, base sans additif
        es: control, referencia, patrón, testigo, estándar, base, blanco, lote de control,
            lote de referencia, sin aditivo, lote patrón, estándar interno
        it: controllo, riferimento, standard, testimone, base, bianco, lotto di controllo,
            lotto di riferimento, senza additivo, campione di riferimento, bianco di prova
        pl: kontrola, kontrolna, referencja, odniesienie, wzorzec, próba zerowa, standard, zerowa,
            referencyjna, kontrolny, partia kontrolna, partia odniesienia, bez dodatku,
            próba odniesienia, referencyjny, wzorcowa, ślepa próba
        nl: controle, referentie, standaard, blanco, nul, basis, controlebatch, referentiebatch,
            zonder additief, blanco batch, standaardbatch
        cs: kontrola, kontrolní, reference, referenční, standard, srovnávací, nulová, slepý vzorek,
            kontrolní šarže, referenční šarže, bez přísady, srovnávací šarže, nulový vzorek,
            standardní;
    candidate =
        cand
        pt: candidato, ensaio, variante, experimental, lote candidato, lote de ensaio, modificado
        en: test, trial, variant, experimental, sample, candidate batch, test batch, experiment,
            alternative, development, candidate paint, test paint, trial batch, tested, under test,
            modified, new
        de: Kandidat, Versuch, Variante, Test, Muster, Prüfmuster, Versuchscharge, Alternative,
            Prüfling, Versuchsansatz, Testcharge, Kandidatencharge, Testansatz, Neuentwicklung,
            modifiziert, geprüft
        fr: candidat, essai, variante, expérimental, lot candidat, lot d'essai, à l'essai, modifié,
            testé
        es: candidato, ensayo, prueba, variante, experimental, lote candidato, lote de ensayo,
            en ensayo, modificado, ensayado
        it: candidato, prova, variante, sperimentale, lotto candidato, lotto di prova, in prova,
            modificato
        pl: kandydat, próba, wariant, badana, doświadczalna, testowa, kandydująca, partia badana,
            partia testowa, badany, modyfikowana, testowany
        nl: kandidaat, proef, variant, experimenteel, experiment, kandidaatbatch, testbatch,
            proefbatch, gewijzigd
        cs: kandidát, kandidátní, zkouška, varianta, pokus, pokusná, zkoušená, kandidátská,
            zkušební šarže, zkušební, upravená, testovaná
"""

MIXED_ON = """
    en: date of preparation, preparation date, date of make, mixed, mixed on, mixed at, made,
        made on, date mixed, mixing date, production date, produced, manufactured, manufactured on,
        date of manufacture, prepared, prepared on, date made, date of mixing, date prepared,
        batch date, produced on, dispersed on, ground on, batch made on, date of batch, day mixed,
        day made, mix date, manufacturing date
    de: Datum des Mischens, Ansetzdatum, gemischt, gemischt am, angemischt, angemischt am,
        hergestellt, hergestellt am, Mischdatum, Herstelldatum, Herstellungsdatum, Produktionsdatum,
        Ansatzdatum, angesetzt, angesetzt am, produziert am, Datum der Herstellung, dispergiert am,
        Datum der Charge, Chargendatum, Herst.-Datum, Dispergierdatum, angesetzt dne
    fr: date du mélange, mélangé, mélangé le, fabriqué, fabriqué le, préparé, préparé le,
        date de mélange, date de fabrication, date de préparation, date de production, date du lot,
        date de fab, fabriqué en date du
    es: fecha de la mezcla, fecha de elaboración, elaborado el, mezclado, mezclado el, fabricado,
        fabricado el, preparado, preparado el, fecha de mezcla, fecha de fabricación,
        fecha de preparación, fecha de producción, fecha del lote, fecha de fab, fecha de mezclado
    it: data di miscela, data di preparazione, fatto il, miscelato, miscelato il, prodotto il,
        preparato, preparato il, data di miscelazione, data di produzione, data di preparazione,
        data del lotto, data di fab, data miscelazione
    pl: data wymieszania, data wykonania, wykonano, data zmieszania, sporządzono, wymieszano,
        zmieszano, data mieszania, data produkcji, wyprodukowano, przygotowano, data przygotowania,
        data sporządzenia, data partii, data wytworzenia, data dyspergowania
    nl: datum mengen, aanmaakdatum, datum aanmaak, aangemaakt op, gemengd, gemengd op, gemaakt,
        gemaakt op, mengdatum, productiedatum, bereid, datum bereiding, geproduceerd op,
        datum batch, maakdatum, datum van mengen, batchdatum
    cs: smícháno, smícháno dne, datum smíchání, datum přípravy, namícháno, namícháno dne,
        datum míchání, vyrobeno, datum výroby, připraveno, datum přípravy, datum šarže,
        datum namíchání, datum dispergace
    hu: keverve, keverés dátuma, készült, gyártás dátuma
    pt: data de mistura, data da mistura, misturado em, data de preparação, preparado em,
        data de fabrico, fabricado em, data de produção, data do lote
"""

BESIDE = """
    PVC, P/B, VOC, SBV, PVK
    kg, qty kg, quantity kg, amount kg, batch kg, Menge kg, kg made, kg mixed, kg produced, made {kg}, mixed {kg}, produced {kg}, qty {kg}, quantity {kg}, amount {kg},
    Menge {kg}, Ansatz {kg}, hergestellt {kg}, quantité {kg}, fabriqué {kg}, cantidad {kg}, quantità {kg}, ilość {kg},
    hoeveelheid {kg}, množství {kg}, mass {kg}, Masse {kg}, masse {kg}
    en: vessel, disperser, size, batch size, weight, mass, volume, density, viscosity, solids, supplier, manufacturer,
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
