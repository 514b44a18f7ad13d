"""Blind logs, first set, first part: tables with a row per attempt. The expected tables were fixed before the program read the logs."""

import datetime as dt

from byhand import *


def uk_bench_notes():
    log, p = one("b1-uk-bench-notes", "A British keeper's CSV: two lines of title, day/month/year, ditto marks for the species, strikes for nothing, a remark behind a number, a total at the end.", "Hugh Tarleton/Spawning record.csv")
    p.row(["Spawning record 2023/24 - fish room", "", "", "", "", "", "", "", ""])
    p.row([])
    p.head(["Tank", "Fish", "Put together", "Temp", "Spawned?", "Eggs seen", "No. of eggs", "Hatched on", "Comments"], "system", "species", "began", "temperature_c", "spawned", "spawned_at", "eggs", "hatch_to", "notes")
    p.ac(["Q1", "Corydoras panda", "17/11/2023", "22.5", "Y", "20/11/2023", "34", "25/11/2023", "big water change Sunday"], system="Q1", species="Corydoras panda", began="2023-11-17", temperature_c=22.5, spawned=True, spawned_at="2023-11-20", eggs=34, hatch_to="2023-11-25", notes="big water change Sunday")
    p.ac(["Q2", '"', "17/11/2023", "22.5", "N", "-", "-", "-", ""], system="Q2", species="Corydoras panda", began="2023-11-17", temperature_c=22.5, spawned=False)
    p.ac(["Q1", '"', "04/12/2023", "23", "Y", "05/12/2023", "51 (some white)", "09/12/2023", ""], system="Q1", species="Corydoras panda", began="2023-12-04", temperature_c=23, spawned=True, spawned_at="2023-12-05", eggs=51, hatch_to="2023-12-09")
    p.ac(["Q3", "Danio rerio", "04/12/2023", "tepid", "Y", "05/12/2023", "100+", "08/12/2023", "lost count"], d="D:NUM:temperature_c", system="Q3", species="Danio rerio", began="2023-12-04", spawned=True, spawned_at="2023-12-05", eggs=None, eggs_low=100, eggs_method="*", hatch_to="2023-12-08", notes="lost count")
    p.a(["Q3", "Danio rerio", "11/12/2023", "26", "?", "?", "?", "?", "away for a week"], system="Q3", species="Danio rerio", began="2023-12-11", temperature_c=26, spawned=None, notes="away for a week")
    p.ac(["Q2", "Corydoras panda", "30/01/2024", "22.0", "Y", "31/01/2024", "lots", "05/02/2024", ""], d="G:NUM:eggs", system="Q2", species="Corydoras panda", began="2024-01-30", temperature_c=22, spawned=True, spawned_at="2024-01-31", eggs=None, hatch_to="2024-02-05")
    p.ac(["Q2", "Corydoras panda", "19/02/2024", "22", "Y", "22/02/2024", "28", "n/a", "all fungused"], system="Q2", species="Corydoras panda", began="2024-02-19", temperature_c=22, spawned=True, spawned_at="2024-02-22", eggs=28, hatch_to=None, notes="all fungused", loss="*")
    p.row(["Total", "", "", "", "5", "", "213", "", ""])
    return log


def de_zuchtprotokoll():
    log, p = one("b1-de-zuchtprotokoll", "A German keeper's workbook from LibreOffice: groups of headings merged over a second row with the units, decimal commas as text in places, Vw for water change, sex ratio as 2,3.", "Ingeborg Vahlefeld/Zuchtprotokoll.xlsx", "libreoffice-xlsx", "Ansätze")
    s = p.sheet
    p.row(["Zuchtprotokoll Ingeborg Vahlefeld", None, None, None, None, None, None, None, None, None, None])
    p.row([])
    p.row(["Ansatz", None, None, None, "Wasser", None, None, "Ergebnis", None, None, "Bemerkung"])
    s.merges += ["A3:D3", "E3:G3", "H3:J3"]
    p.head(["Becken", "Art", "angesetzt am", "m/w", "Temp. in °C", "pH", "Leitwert µS/cm", "abgelaicht", "Laichtag", "Eier", None], "system", "species", "began", "males females", "temperature_c", "ph", "conductivity_us_cm", "spawned", "spawned_at", "eggs", "notes")
    D = lambda *x: dt.date(*x)
    p.ac(["3", "Danio rerio", D(2024, 3, 2), "2/3", 25.5, 7.1, 310, "ja", D(2024, 3, 3), 142, "morgens"], system="3", species="Danio rerio", began="2024-03-02", males=2, females=3, temperature_c=25.5, ph=7.1, conductivity_us_cm=310, spawned=True, spawned_at="2024-03-03", eggs=142, notes="morgens")
    p.ac(["3", "Danio rerio", D(2024, 3, 9), "2/3", "25,0", "7,0", 305, "nein", None, None, None], system="3", species="Danio rerio", began="2024-03-09", males=2, females=3, temperature_c=25, ph=7, conductivity_us_cm=305, spawned=False)
    p.ac(["5", "Keilfleckbärbling", D(2024, 3, 10), "1/2", 26.5, 5.8, 90, "ja", D(2024, 3, 12), "ca. 80", "unter Blatt"], system="5", species="Trigonostigma heteromorpha", began="2024-03-10", males=1, females=2, temperature_c=26.5, ph=5.8, conductivity_us_cm=90, spawned=True, spawned_at="2024-03-12", eggs=80, eggs_method="estimated", notes="unter Blatt")
    p.ac(["5", "Keilfleckbärbling", D(2024, 3, 24), "1/2", 26.5, 58, 95, "ja", D(2024, 3, 25), "60-70", None], d="F:NUM:ph", system="5", species="Trigonostigma heteromorpha", began="2024-03-24", males=1, females=2, temperature_c=26.5, ph=None, conductivity_us_cm=95, spawned=True, spawned_at="2024-03-25", eggs=65, eggs_low=60, eggs_high=70, eggs_method="estimated")
    p.ac(["7", "Marmorierter Panzerwels", D(2024, 4, 1), "3/2", 22, 7.2, 400, "nein", None, None, "kein Interesse"], system="7", species="Corydoras paleatus", began="2024-04-01", males=3, females=2, temperature_c=22, ph=7.2, conductivity_us_cm=400, spawned=False, notes="kein Interesse")
    p.ac(["7", "Marmorierter Panzerwels", D(2024, 4, 13), "3/2", 21.5, 7.2, "k.A.", "ja", D(2024, 4, 14), 96, None], system="7", species="Corydoras paleatus", began="2024-04-13", males=3, females=2, temperature_c=21.5, ph=7.2, conductivity_us_cm=None, spawned=True, spawned_at="2024-04-14", eggs=96)
    p.row(["Summe", None, None, None, None, None, None, None, None, 384, None])
    return log


def fr_fiche():
    log, p = one("b1-fr-fiche", "A French keeper's CSV from an old Windows spreadsheet: semicolons, decimal commas, O/N for oui and non, water change as a third, refill by its own temperature.", "Maëlle Quéméneur/fiches reproduction.csv", delim=";", encoding="cp1252", eol="\r\n")
    p.head(["N° bac", "Espèce", "Mise en couple", "T° eau", "T° eau neuve", "Chgt eau", "Ponte (O/N)", "Date de ponte", "Nb d'œufs", "Éclosion", "Nage libre", "Remarques"], "system", "species", "began", "temperature_c refill_delta_c", "refill_delta_c", "water_change_pct", "spawned", "spawned_at", "eggs", "hatch_to", "swim_to", "notes")
    p.ac(["B2", "Pelvicachromis pulcher", "18/01/2025", "26,5", "24", "30 %", "O", "21/01/2025", "120", "24/01/2025", "29/01/2025", "dans la noix de coco"], system="B2", species="Pelvicachromis pulcher", began="2025-01-18", temperature_c=26.5, refill_delta_c=-2.5, water_change_pct=30, spawned=True, spawned_at="2025-01-21", eggs=120, hatch_to="2025-01-24", swim_to="2025-01-29", notes="dans la noix de coco")
    p.ac(["B4", "Corydoras aeneus", "25/01/2025", "24,0", "19,5", "1/3", "O", "26/01/2025", "env. 90", "30/01/2025", "", "orage"], system="B4", species="Corydoras aeneus", began="2025-01-25", temperature_c=24, refill_delta_c=-4.5, water_change_pct="*", spawned=True, spawned_at="2025-01-26", eggs=90, eggs_method="estimated", hatch_to="2025-01-30", notes="orage")
    p.ac(["B4", "Corydoras aeneus", "08/02/2025", "24,5", "24,5", "30 %", "N", "", "", "", "", "mâles trop jeunes"], system="B4", species="Corydoras aeneus", began="2025-02-08", temperature_c=24.5, refill_delta_c=0, water_change_pct=30, spawned=False, notes="mâles trop jeunes")
    p.ac(["B2", "Pelvicachromis pulcher", "15/02/2025", "27", "n.c.", "non", "N", "", "", "", "", ""], system="B2", species="Pelvicachromis pulcher", began="2025-02-15", temperature_c=27, refill_delta_c=None, water_change_pct="*", spawned=False)
    p.ac(["B4", "C. aeneus", "22/02/2025", "24,0", "18", "50 %", "O", "22/02/2025", "entre 60 et 80", "27/02/2025", "30/02/2025", ""], d="K:DATE:swim_to", system="B4", species="Corydoras aeneus", began="2025-02-22", temperature_c=24, refill_delta_c=-6, water_change_pct=50, spawned=True, spawned_at="2025-02-22", eggs="*", eggs_low="*", eggs_high="*", eggs_method="*", hatch_to="2025-02-27", swim_to=None)
    p.ac(["B7", "Betta splendens", "01/03/2025", "28", "28", "10 %", "O", "03/03/2025", "beaucoup", "05/03/2025", "08/03/2025", "mâle isolé"], d="I:NUM:eggs", system="B7", species="Betta splendens", began="2025-03-01", temperature_c=28, refill_delta_c=0, water_change_pct=10, spawned=True, spawned_at="2025-03-03", eggs=None, hatch_to="2025-03-05", swim_to="2025-03-08", notes="mâle isolé")
    return log


def es_cuaderno():
    log, p = one("b1-es-cuaderno", "A Spanish keeper's spreadsheet (ods): real dates, hardness and conductivity, si and no, a group as 1M/2H, a question in the eggs.", "Baltasar Cienfuegos/cuaderno cria.ods", "libreoffice-ods", "2024")
    D = lambda *x: dt.date(*x)
    p.head(["Acuario", "Especie", "Fecha montaje", "Grupo", "Tª (ºC)", "pH", "GH", "Cond. (µS)", "¿Puesta?", "Fecha puesta", "Nº huevos", "Alevines nadando", "Observaciones"], "system", "species", "began", "males females", "temperature_c", "ph", "gh_dh", "conductivity_us_cm", "spawned", "spawned_at", "eggs", "free_swimming", "notes")
    p.ac(["A-1", "Apistogramma cacatuoides", D(2024, 1, 14), "1M/2H", 26.5, 6.2, 3, 120, "sí", D(2024, 1, 20), 70, 41, "cueva de coco"], d="G:UNIT:gh_dh", system="A-1", species="Apistogramma cacatuoides", began="2024-01-14", males=1, females=2, temperature_c=26.5, ph=6.2, gh_dh=None, conductivity_us_cm=120, spawned=True, spawned_at="2024-01-20", eggs=70, free_swimming=41, notes="cueva de coco")
    p.ac(["A-2", "Mikrogeophagus ramirezi", D(2024, 1, 14), "1M/1H", 28, 5.9, 2, 85, "no", None, None, None, None], d="G:UNIT:gh_dh", system="A-2", species="Mikrogeophagus ramirezi", began="2024-01-14", males=1, females=1, temperature_c=28, ph=5.9, gh_dh=None, conductivity_us_cm=85, spawned=False)
    p.ac(["A-2", "M. ramirezi", D(2024, 2, 3), "1M/1H", 28.5, 5.8, 2, 80, "sí", D(2024, 2, 5), "200?", 0, "se los comieron"], d="K:NUM:eggs G:UNIT:gh_dh", system="A-2", species="Mikrogeophagus ramirezi", began="2024-02-03", males=1, females=1, temperature_c=28.5, ph=5.8, gh_dh=None, conductivity_us_cm=80, spawned=True, spawned_at="2024-02-05", eggs=None, free_swimming=0, notes="se los comieron", loss="*")
    p.ac(["A-1", "Apistogramma cacatuoides", D(2024, 2, 17), "1M/2H", 26, 6.3, "s/d", "s/d", "sí", D(2024, 2, 19), 55, 30, None], system="A-1", species="Apistogramma cacatuoides", began="2024-02-17", males=1, females=2, temperature_c=26, ph=6.3, spawned=True, spawned_at="2024-02-19", eggs=55, free_swimming=30)
    p.ac(["A-3", "Corydoras paleatus", D(2024, 3, 1), "3M/2H", 21, 7.1, 8, "350", "a medias", None, None, None, "huevos blancos"], d="I:YES:spawned G:UNIT:gh_dh", system="A-3", species="Corydoras paleatus", began="2024-03-01", males=3, females=2, temperature_c=21, ph=7.1, gh_dh=None, conductivity_us_cm=350, spawned=None, notes="huevos blancos")
    p.ac(["A-3", "Corydoras paleatus", D(2024, 3, 16), "trío", 20.5, 7, 8, 355, "sí", D(2024, 3, 17), 88, 52, None], d="G:UNIT:gh_dh", system="A-3", species="Corydoras paleatus", began="2024-03-16", males="*", females="*", temperature_c=20.5, ph=7, gh_dh=None, conductivity_us_cm=355, spawned=True, spawned_at="2024-03-17", eggs=88, free_swimming=52)
    return log


def us_spreadsheet():
    log, p = one("b1-us-spreadsheet", "An American keeper's CSV: Fahrenheit, month/day/year, pairs in words, gallons of a volume, percent of change, hedged counts.", "Darlene Ostrowski/fish room log.csv", eol="\r\n", bom=b"\xef\xbb\xbf")
    p.head(["Tank #", "Tank size", "Species", "Setup Date", "Pair/Group", "Temp (°F)", "pH", "% WC", "Spawned (Y/N)", "Spawn Date", "Est. # Eggs", "# Fry", "Notes"], "system", "", "species", "began", "males females", "temperature_c", "ph", "water_change_pct", "spawned", "spawned_at", "eggs", "free_swimming hatched", "notes")
    F = lambda f: (f - 32) / 1.8
    # Fry under an own heading may be counted as hatched or as free swimming.
    fry = dict(hatched="*", free_swimming="*")
    p.ac(["12", "20 gal", "Pterophyllum scalare", "1/15/2024", "pair", "82", "6.8", "25", "Y", "1/18/2024", "300", "180", "on the filter tube"], system="12", species="Pterophyllum scalare", began="2024-01-15", males="*", females="*", temperature_c=F(82), ph=6.8, water_change_pct=25, spawned=True, spawned_at="2024-01-18", eggs=300, eggs_method="*", notes="on the filter tube", **fry)
    p.ac(["12", "20 gal", "P. scalare", "2/3/2024", "pair", "81.5", "6.8", "25", "Y", "2/4/2024", "~250", "0", "parents ate them"], system="12", species="Pterophyllum scalare", began="2024-02-03", males="*", females="*", temperature_c=F(81.5), ph=6.8, water_change_pct=25, spawned=True, spawned_at="2024-02-04", eggs=250, eggs_method="estimated", notes="parents ate them", loss="*", **fry)
    p.ac(["7", "10 gal", "Betta splendens", "2/20/2024", "1m/1f", "80", "7.0", "10", "N", "", "", "", "female beat up"], system="7", species="Betta splendens", began="2024-02-20", males=1, females=1, temperature_c=F(80), ph=7, water_change_pct=10, spawned=False, notes="female beat up")
    p.ac(["7", "10 gal", "Betta splendens", "3/28/2024", "1m/1f", "8O", "7.0", "10", "Y", "3/30/2024", "150-200", "110", ""], d="F:NUM:temperature_c", system="7", species="Betta splendens", began="2024-03-28", males=1, females=1, temperature_c=None, ph=7, water_change_pct=10, spawned=True, spawned_at="2024-03-30", eggs=175, eggs_low=150, eggs_high=200, eggs_method="estimated", **fry)
    p.ac(["4", "20 gal", "Corydoras sterbai", "4/6/2024", "3m/2f", "77", "6.6", "50", "Y", "4/7/2024", "60", "a bunch", "cool water change"], d="L:NUM:hatched,free_swimming", system="4", species="Corydoras sterbai", began="2024-04-06", males=3, females=2, temperature_c=25, ph=6.6, water_change_pct=50, spawned=True, spawned_at="2024-04-07", eggs=60, eggs_method="*", notes="cool water change")
    p.ac(["4", "20 gal", "Corydoras sterbai", "4/19/2024", "3m/2f", "77", "6.6", "150", "N", "", "0", "", ""], d="H:NUM:water_change_pct", system="4", species="Corydoras sterbai", began="2024-04-19", males=3, females=2, temperature_c=25, ph=6.6, water_change_pct=None, spawned=False)
    return log


def mac_epoch():
    log, p = one("b1-book-of-a-mac", "A workbook of the 1904 date system written by openpyxl: dates with clock, a merged species down its rows, comments.", "Solveig Aabakken/breeding.xlsx", "openpyxl", "log", epoch1904=True)
    DT = lambda *x: dt.datetime(*x)
    D = lambda *x: dt.date(*x)
    p.head(["Species", "Tank", "Paired on", "Spawned", "Spawned at", "Egg count", "Hatch date", "Water temp °C"], "species", "system", "began", "spawned", "spawned_at", "eggs", "hatch_to", "temperature_c")
    p.ac(["Hyphessobrycon herbertaxelrodi", "T1", D(2023, 10, 14), "yes", DT(2023, 10, 16, 7, 30), 60, D(2023, 10, 17), 24.5], species="Hyphessobrycon herbertaxelrodi", system="T1", began="2023-10-14", spawned=True, spawned_at="2023-10-16T07:30", eggs=60, hatch_to="2023-10-17", temperature_c=24.5)
    p.ac([None, "T2", D(2023, 10, 21), "no", None, None, None, 24], species="Hyphessobrycon herbertaxelrodi", system="T2", began="2023-10-21", spawned=False, temperature_c=24)
    p.ac([None, "T1", D(2023, 10, 28), "yes", DT(2023, 10, 30, 6, 45), Styled(82, None, "two counts"), D(2023, 10, 31), 25], species="Hyphessobrycon herbertaxelrodi", system="T1", began="2023-10-28", spawned=True, spawned_at="2023-10-30T06:45", eggs=82, hatch_to="2023-10-31", temperature_c=25)
    p.sheet.merges.append("A2:A4")
    p.ac(["Tanichthys albonubes", "T3", D(2023, 11, 4), "yes", DT(2023, 11, 9, 8, 0), 25, D(2023, 11, 11), 19.5], species="Tanichthys albonubes", system="T3", began="2023-11-04", spawned=True, spawned_at="2023-11-09T08:00", eggs=25, hatch_to="2023-11-11", temperature_c=19.5)
    p.ac([None, "T3", D(2023, 11, 18), "yes", DT(2023, 11, 20, 8, 15), "dozens", D(2023, 11, 22), 19], d="F:NUM:eggs", species="Tanichthys albonubes", system="T3", began="2023-11-18", spawned=True, spawned_at="2023-11-20T08:15", eggs=None, hatch_to="2023-11-22", temperature_c=19)
    p.sheet.merges.append("A5:A6")
    return log


def formulas():
    log, p = one("b1-formulas-never-worked-out", "A workbook written by a script: formulas for hatching dates and totals that no program has worked out, numbers kept as text, TRUE and FALSE.", "Kwabena Ofosu/plan.xlsx", "openpyxl", "Breeding")
    D = lambda *x: dt.date(*x)
    p.head(["Tank", "Species", "Set up", "Spawned", "Spawn date", "Viable eggs", "Dead eggs", "Total eggs", "Hatch date", "Temp (°C)"], "system", "species", "began", "spawned", "spawned_at", "fertile", "", "eggs", "hatch_to", "temperature_c")
    known = dict(species="Danio rerio", eggs="*", eggs_method="*")
    p.ac(["1", "Danio rerio", D(2024, 5, 13), True, D(2024, 5, 14), 80, 12, Formula("F2+G2"), D(2024, 5, 17), "26.5"], d="H:NUM:", system="1", began="2024-05-13", spawned=True, spawned_at="2024-05-14", fertile=80, hatch_to="2024-05-17", temperature_c=26.5, **known)
    p.ac(["2", "Danio rerio", D(2024, 5, 13), False, None, None, None, None, None, "26.0"], system="2", species="Danio rerio", began="2024-05-13", spawned=False, temperature_c=26)
    p.ac(["1", "Danio rerio", D(2024, 5, 20), True, D(2024, 5, 21), "95", "8", Formula("F4+G4"), Formula("E4+3"), "26.5"], d="H:NUM: I:NUM:hatch_to", system="1", began="2024-05-20", spawned=True, spawned_at="2024-05-21", fertile=95, hatch_to=None, temperature_c=26.5, **known)
    p.ac(["2", "Danio rerio", D(2024, 5, 27), True, D(2024, 5, 29), 41, 40, "81", D(2024, 6, 1), "25.5"], system="2", species="Danio rerio", began="2024-05-27", spawned=True, spawned_at="2024-05-29", fertile=41, eggs=81, hatch_to="2024-06-01", temperature_c=25.5)
    return log


def sheet_per_species_de():
    log = Log("b1-de-blatt-je-art", "A German workbook by gnumeric with a sheet for each species, headings that differ by sheet, numbers as text, a cover sheet.")
    f = log.file("Reinhold Bäuerle/Zucht.xlsx", "gnumeric-xlsx")
    c = f.sheet("Deckblatt")
    c.put("Meine Zuchten")
    c.put("angelegt", "2023")
    a = Page(f.sheet("Corydoras sterbai"), species="Corydoras sterbai", species_as_written="*")
    D = lambda *x: dt.date(*x)
    a.head(["Datum Ansatz", "Becken", "gelaicht j/n", "Gelegegröße", "geschlüpft am", "Wassertemp."], "began", "system", "spawned", "eggs", "hatch_to", "temperature_c")
    a.ac([D(2024, 9, 7), "W1", "j", "45", D(2024, 9, 14), "24,5"], began="2024-09-07", system="W1", spawned=True, eggs=45, hatch_to="2024-09-14", temperature_c=24.5)
    a.ac([D(2024, 9, 21), "W1", "n", None, None, "25"], began="2024-09-21", system="W1", spawned=False, temperature_c=25)
    a.ac([D(2024, 10, 5), "W1", "j", "mind. 30", D(2024, 10, 11), "24"], began="2024-10-05", system="W1", spawned=True, eggs=None, eggs_low=30, eggs_method="*", hatch_to="2024-10-11", temperature_c=24)
    b = Page(f.sheet("Pelvicachromis taeniatus"), species="Pelvicachromis taeniatus", species_as_written="*")
    b.head(["Becken", "Paar seit", "Ablaichen am", "Anzahl Eier", "Freischwimmen am", "Anzahl Jungfische", "°C"], "system", "began", "spawned_at", "eggs", "swim_to", "free_swimming", "temperature_c")
    b.ac(["W4", D(2024, 2, 17), D(2024, 3, 2), None, D(2024, 3, 11), 38, 25.5], system="W4", began="2024-02-17", spawned_at="2024-03-02", swim_to="2024-03-11", free_swimming="*", temperature_c=25.5)
    b.ac(["W4", D(2024, 4, 6), D(2024, 4, 20), 60, D(2024, 4, 29), "zu viele", 25.5], d="F:NUM:free_swimming", system="W4", began="2024-04-06", spawned_at="2024-04-20", eggs=60, swim_to="2024-04-29", temperature_c=25.5)
    return log


def es_utf16():
    log, p = one("b1-es-unicode-text", "A Spanish keeper's 'Unicode text' from a spreadsheet: UTF-16 with tabs, d/m/yy, decimal commas, V/F for true and false.", "Nuria Peñalba/cria.txt", delim="\t", encoding="utf-16-le", bom=b"\xff\xfe", eol="\r\n")
    p.head(["Pecera", "Especie", "Juntados el", "Desovaron", "Fecha desove", "Huevos", "Fértiles", "Eclosionados", "Temp.", "Notas"], "system", "species", "began", "spawned", "spawned_at", "eggs", "fertile", "hatched", "temperature_c", "notes")
    p.ac(["1", "Danio rerio", "3/5/24", "sí", "4/5/24", "110", "90", "75", "25,5", ""], system="1", species="Danio rerio", began="2024-05-03", spawned=True, spawned_at="2024-05-04", eggs=110, fertile=90, hatched=75, temperature_c=25.5)
    p.ac(["2", "Danio rerio", "3/5/24", "no", "", "", "", "", "25,5", "hembras delgadas"], system="2", species="Danio rerio", began="2024-05-03", spawned=False, temperature_c=25.5, notes="hembras delgadas")
    p.ac(["1", "Danio rerio", "18/5/24", "sí", "19/5/24", "1.150", "900", "700", "26", ""], system="1", species="Danio rerio", began="2024-05-18", spawned=True, spawned_at="2024-05-19", eggs="*", eggs_low="*", fertile=900, hatched=700, temperature_c=26)
    p.ac(["2", "Danio rerio", "18/5/24", "sí", "19/5/24", "95", "99", "60", "26", ""], d="F:NUM:", system="2", species="Danio rerio", began="2024-05-18", spawned=True, spawned_at="2024-05-19", eggs="*", fertile="*", hatched=60, temperature_c=26)
    p.ac(["3", "Trichogaster lalius", "2/6/24", "sí", "6/6/24", "unos 300", "", "", "27,5", "nido de burbujas"], system="3", species="Trichogaster lalius", began="2024-06-02", spawned=True, spawned_at="2024-06-06", eggs=300, eggs_method="estimated", temperature_c=27.5, notes="nido de burbujas")
    p.ac(["3", "Trichogaster lalius", "22/6/24", "sí", "20/6/24", "200", "", "", "27,5", ""], d="E:DATE:", system="3", species="Trichogaster lalius", began="*", spawned=True, spawned_at="*", laid_to="*", eggs=200, temperature_c=27.5)
    return log


def fr_macroman():
    log, p = one("b1-fr-vieux-mac", "A French keeper's old Mac: Mac Roman text, CR line ends, tabs, dates in words, degrees as °, ° after number.", "Honorine Lescure/vieux mac.txt", delim="\t", encoding="mac-roman", eol="\r")
    p.head(["Bac", "Espèce", "Début", "Pondu ?", "Ponte le", "Œufs", "Éclos", "Température", "Météo", "Remarque"], "system", "species", "began", "spawned", "spawned_at", "eggs", "hatched hatch_to", "temperature_c", "", "notes")
    p.ac(["é1", "Hemigrammus erythrozonus", "2 février 2023", "oui", "5 février 2023", "80", "55", "24°", "beau", "élevés à part"], system="é1", species="Hemigrammus erythrozonus", began="2023-02-02", spawned=True, spawned_at="2023-02-05", eggs=80, hatched=55, temperature_c=24, notes="élevés à part")
    p.ac(["é1", "Hemigrammus erythrozonus", "1er mars 2023", "non", "", "", "", "23,5°", "pluie", ""], system="é1", species="Hemigrammus erythrozonus", began="2023-03-01", spawned=False, temperature_c=23.5)
    p.ac(["é2", "Corydoras panda", "12 août 2023", "oui", "14 août 2023", "une vingtaine", "12", "22°", "orage", "à l'ombre"], d="F:NUM:eggs", system="é2", species="Corydoras panda", began="2023-08-12", spawned=True, spawned_at="2023-08-14", eggs=None, hatched=12, temperature_c=22, notes="à l'ombre")
    p.ac(["é2", "Corydoras panda", "3 déc. 2023", "oui", "déc. 2023", "31", "20", "22,5°", "neige", "où sont-ils passés"], d="E:DATE:spawned_at,laid_to", system="é2", species="Corydoras panda", began="2023-12-03", spawned=True, spawned_at=None, laid_to="*", eggs=31, hatched=20, temperature_c=22.5, notes="où sont-ils passés")
    return log


def de_cp850():
    log, p = one("b1-de-dos-programm", "A German keeper's export of a database of DOS days: CP850, pipes, day.month.year with two digits, J and N, yes/no columns for triggers.", "Eckehard Möbius/ZUCHT.DAT.csv", delim="|", encoding="cp850", eol="\r\n")
    p.head(["BECKEN", "ART", "ANSATZ", "TEMP_C", "PH", "KH", "LEBENDFUTTER", "LAUB", "GELAICHT", "LAICHDATUM", "EIZAHL", "GESCHLÜPFT", "BEMERKUNG"], "system", "species", "began", "temperature_c", "ph", "kh_dh", "live_food", "leaf_litter", "spawned", "spawned_at", "eggs", "hatched", "notes")
    p.ac(["04", "Aphyosemion australe", "14.02.98", "23,0", "6,2", "1", "J", "J", "J", "20.02.98", "33", "21", "gepflückt vom Mop"], system="04", species="Aphyosemion australe", began="1998-02-14", temperature_c=23, ph=6.2, kh_dh=1, live_food=True, leaf_litter=True, spawned=True, spawned_at="1998-02-20", eggs=33, hatched=21, notes="gepflückt vom Mop")
    p.ac(["04", "Aphyosemion australe", "01.03.98", "22,5", "6,0", "1", "N", "J", "N", "", "", "", "Männchen müde"], system="04", species="Aphyosemion australe", began="1998-03-01", temperature_c=22.5, ph=6, kh_dh=1, live_food=False, leaf_litter=True, spawned=False, notes="Männchen müde")
    p.ac(["06", "Prachtbarbe", "29.03.98", "25,5", "7,0", "6", "J", "N", "J", "30.03.98", "250", "200", ""], system="06", species="Pethia conchonius", species_as_written="Prachtbarbe", began="1998-03-29", temperature_c=25.5, ph=7, kh_dh=6, live_food=True, leaf_litter=False, spawned=True, spawned_at="1998-03-30", eggs=250, hatched=200)
    p.ac(["06", "Prachtbarbe", "12.04.98", "25.5", "7,0", "6", "X", "N", "J", "13.04.98", "180", "220", "größer geworden"], d="L:NUM:", system="06", species="Pethia conchonius", species_as_written="Prachtbarbe", began="1998-04-12", temperature_c=25.5, ph=7, kh_dh=6, live_food="*", leaf_litter=False, spawned=True, spawned_at="1998-04-13", eggs="*", hatched="*", notes="größer geworden")
    p.row(["07", "Neon", "26.04.98", "24", "5,5", "0", "J", "J", "N", "", "", "", ""], d="-:SPEC:")
    return log


def sex_ratios():
    log, p = one("b1-groups-in-every-hand", "A records officer's sheet: groups as 2.3, 1:2, 1m 2f, pair, trio, 6, 'colony'; Excel made a date of one.", "Winifred Achterberg/groups.xlsx", "excelize", "pairs")
    D = lambda *x: dt.date(*x)
    p.head(["Tank", "Species", "Introduced", "Sexes (m.f)", "Spawn seen", "Spawned", "Clutch", "Temp C"], "system", "species", "began", "males females unsexed", "spawned_at", "spawned", "eggs", "temperature_c")
    base = dict(species="Apistogramma cacatuoides", temperature_c=26)
    p.ac(["1", "Apistogramma cacatuoides", D(2024, 1, 20), "1.2", D(2024, 1, 25), "yes", 60, 26], system="1", began="2024-01-20", males=1, females=2, spawned=True, spawned_at="2024-01-25", eggs=60, **base)
    p.ac(["2", "Apistogramma cacatuoides", D(2024, 1, 27), "1m 3f", None, "no", None, 26], system="2", began="2024-01-27", males=1, females=3, spawned=False, **base)
    p.ac(["3", "Apistogramma cacatuoides", D(2024, 2, 3), "2.3.4", D(2024, 2, 10), "yes", 44, 26], system="3", began="2024-02-03", males=2, females=3, unsexed=4, spawned=True, spawned_at="2024-02-10", eggs=44, **base)
    p.ac(["4", "Apistogramma cacatuoides", D(2024, 2, 10), "pair", None, "no", None, 26], system="4", began="2024-02-10", males="*", females="*", spawned=False, **base)
    p.ac(["5", "Apistogramma cacatuoides", D(2024, 2, 17), "colony", None, "no", None, 26], d="D:SEX:males,females,unsexed", system="5", began="2024-02-17", spawned=False, **base)
    p.ac(["6", "Apistogramma cacatuoides", D(2024, 2, 24), Styled(D(2024, 2, 1), "d.m"), None, "no", None, 26], d="D:SEX:males,females,unsexed", system="6", began="2024-02-24", spawned=False, **base)
    p.ac(["7", "Apistogramma cacatuoides", D(2024, 3, 2), "1:1", D(2024, 3, 9), "yes", 71, 26], system="7", began="2024-03-02", males="*", females="*", spawned=True, spawned_at="2024-03-09", eggs=71, **base)
    return log


def misspelt():
    log, p = one("b1-names-by-ear", "A keeper who spells by ear: misspelt names, abbreviations, shop names, ambiguous ones, a strain and a location.", "Nessa Corrigan/names.csv")
    p.head(["tank", "fish", "date in", "spawned", "spawn date", "eggs", "temp c"], "system", "species", "began", "spawned", "spawned_at", "eggs", "temperature_c")
    rows = [("Corydoras paleattus", "Corydoras paleatus"), ("C. paleatus", "Corydoras paleatus"), ("Cordoras panda", "Corydoras panda"), ("zebra danio", "Danio rerio"), ("Brachydanio rerio", "Danio rerio"), ("cardinal", None), ("Apistogramma agassizi 'Tefé'", "Apistogramma agassizii"), ("Pterophylum scalare", "Pterophyllum scalare"), ("rams", "Mikrogeophagus ramirezi"), ("harlequin rasboras", "Trigonostigma heteromorpha"), ("Betta slendens (plakat)", "Betta splendens"), ("my blue thing", None), ("white cloud mountain minnow", "Tanichthys albonubes")]
    for i, (w, sp) in enumerate(rows):
        began, laid = "2024-%02d-%02d" % (i // 3 + 1, 3 + 8 * (i % 3)), "2024-%02d-%02d" % (i // 3 + 1, 5 + 8 * (i % 3))
        cells = [str(i + 1), w, began, "yes" if i % 2 else "no", laid if i % 2 else "", str(20 + i) if i % 2 else "", "25"]
        if sp is None:
            p.row(cells, d="-:SPEC:")
        elif i % 2:
            p.ac(cells, system=str(i + 1), species=sp, began=began, spawned=True, spawned_at=laid, eggs=20 + i, temperature_c=25)
        else:
            p.ac(cells, system=str(i + 1), species=sp, began=began, spawned=False, temperature_c=25)
    return log


def dates_mixed():
    log, p = one("b1-two-people-one-column", "A couple who write days in two orders in one column: 13/02 and 02/14. No human can tell the others.", "Ruud and Anneke/together.csv")
    p.head(["Tank", "Species", "Started", "Eggs", "Spawned", "Temp °C"], "system", "species", "began", "eggs", "spawned", "temperature_c")
    for i, (w, eggs) in enumerate([("13/02/2024", 40), ("02/24/2024", 52), ("03/04/2024", 61), ("25/03/2024", 33), ("04/05/2024", None), ("04/28/2024", 47)]):
        v = dict(spawned=True, eggs=eggs) if eggs else dict(spawned=False)
        p.ac(["V", "Danio rerio", w, str(eggs or ""), "yes" if eggs else "no", "25"], d="C:DATE:" if w[:2] in ("03", "04") and w[3:5] in ("04", "05") else "", system="V", species="Danio rerio", began=None if w[:5] in ("03/04", "04/05") else "*", temperature_c=25, **v)
    return log


def dates_open():
    log, p = one("b1-no-day-over-twelve", "A keeper whose days are all twelve or less, written with slashes: day first or month first?", "Priya Raghunathan/short.csv")
    p.head(["Tank", "Species", "Set up", "Spawned", "Eggs", "Temp (C)"], "system", "species", "began", "spawned", "eggs", "temperature_c")
    for w, e in [("01/02/2024", 30), ("05/02/2024", None), ("11/03/2024", 25), ("04/06/2024", 40), ("09/07/2024", None)]:
        v = dict(spawned=True, eggs=e) if e else dict(spawned=False)
        p.ac(["2", "Corydoras aeneus", w, "y" if e else "n", str(e or ""), "24"], d="C:DATE:began", system="2", species="Corydoras aeneus", began=None, temperature_c=24, **v)
    return log


LOGS = [uk_bench_notes, de_zuchtprotokoll, fr_fiche, es_cuaderno, us_spreadsheet, mac_epoch, formulas, sheet_per_species_de, es_utf16, fr_macroman, de_cp850, sex_ratios, misspelt, dates_mixed, dates_open]
