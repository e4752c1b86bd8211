"""Words beside a day that is none of measuring; of long words the beginnings, in whatever case."""

OTHER_DAYS = """
    en: coated, coating date, painted, applied, sprayed, mixed, prepared, blasted, cast, made, produced, received, delivered,
        cal, calibrat, verified, due, expir, valid, until, issue, edition, revis, version, template, form, standard, print, export, copied, typed,
        approved, checked by, signed, since, start, began, begun, immersed, exposed, put in, order, project, quotation, from file, cured, aged
    de: beschichte, lackier, gespritzt, appliz, gemischt, angesetzt, hergestellt, produz, gestrahlt, geliefert, eingang, erhalten,
        kalibri, justiert, geeicht, fällig, gültig, bis, stand, ausgabe, fassung, formblatt, formular, vorlage, norm, gedruckt, druck,
        exportiert, freigegeben, geprüft von, unterschrift, seit, start, beginn, eingelagert, ausgelagert, eingetaucht, auftrag, projekt, gehärtet
    fr: revêtu, peint, appliqu, pulvéris, mélang, prépar, fabriqu, sablé, reçu, livr, étalonn, calibr, échéance, valide, valable, jusqu,
        édition, révision, version, formulaire, modèle, norme, imprim, export, approuv, signé, depuis, début, immergé, exposé, commande, projet
    es: recubiert, pintad, aplicad, pulverizad, mezclad, preparad, fabricad, granallad, recibid, entregad, calibra, vencimiento, válid, hasta,
        edición, revisión, versión, formulario, plantilla, norma, impres, export, aprobad, firma, desde, inicio, sumergid, expuest, pedido, proyecto
    it: rivestit, verniciat, applicat, spruzzat, miscelat, preparat, prodott, sabbiat, ricevut, consegnat, tarat, calibra, scadenza, valid, fino,
        edizione, revisione, versione, modulo, modello, norma, stampat, esportat, approvat, firma, dal, inizio, immers, espost, ordine, progetto
    pl: powlekan, pokryt, malowan, nałożon, naniesion, wymieszan, zmieszan, przygotowan, wyprodukowan, piaskowan, otrzyman, dostarczon, kalibrac,
        wzorcow, ważn, do dnia, wydanie, wersja, formularz, szablon, norma, wydruk, eksport, zatwierdz, podpis, od, początek, rozpoczę, zanurz, wystawion, zlecenie, projekt
    nl: gecoat, gespoten, geverfd, aangebracht, gemengd, bereid, geproduceerd, gestraald, ontvangen, geleverd, gekalibreerd, kalibrat, vervalt,
        geldig, tot, uitgave, herzien, versie, formulier, sjabloon, norm, afgedrukt, geëxporteerd, goedgekeurd, handtekening, sinds, vanaf, begin, ondergedompeld, blootgesteld, opdracht
    cs: natřen, lakován, nanesen, nástřik, smíchán, namíchán, připraven, vyroben, tryskán, přijat, dodán, kalibrac, kalibrov, platn, do,
        vydání, verze, formulář, šablona, norma, vytištěn, export, schválen, podpis, od, začátek, zahájen, ponořen, vystaven, vložen, zakázka, projekt
"""
