"""Blind logs, ninth set: written after the eighth was mended, with the expected tables fixed before the program read them."""

import datetime as dt

from byhand import *

D = lambda *x: dt.date(*x)
F = lambda f: (f - 32) / 1.8


def au_rainbows():
    log, p = one("b9-au-shed", "An Australian's shed list: question headings, day-first dates with dashes, mixed remarks.", "Bronwyn Tarrant/shed.csv")
    p.head(["Tub", "Fish", "Date conditioned fish moved across", "Boys", "Girls", "Water °C", "Conductivity uS/cm", "Cond. days beforehand", "Changed how much water (%)", "Filter turned up?", "Spawn? Y/N", "Spawn first seen", "Egg tally", "Hatch seen", "Fry counted at swim up", "Demise"],
           "system", "species", "began", "males", "females", "temperature_c", "conductivity_us_cm", "conditioning_days", "water_change_pct", "flow", "spawned", "spawned_at", "eggs", "hatch_to", "free_swimming", "loss")
    S = dict(species="Melanotaenia boesemani")
    p.ac(["2", "Melanotaenia boesemani", "14-01-2025", "2", "3", "26", "450", "14", "30", "Y", "Y", "16-01-2025", "60", "24-01-2025", "45", ""], system="2", began="2025-01-14", males=2, females=3, temperature_c=26, conductivity_us_cm=450, conditioning_days=14, water_change_pct=30, flow=True, spawned=True, spawned_at="2025-01-16", eggs=60, hatch_to="2025-01-24", free_swimming=45, **S)
    p.ac(["2", "Melanotaenia boesemani", "18-02-2025", "2", "3", "25", "470", "7", "20", "N", "N", "", "", "", "", ""], system="2", began="2025-02-18", males=2, females=3, temperature_c=25, conductivity_us_cm=470, conditioning_days=7, water_change_pct=20, flow=False, spawned=False, **S)
    p.ac(["3", "Melanotaenia boesemani", "20-03-2025", "1", "2", "27", "430", "10", "half", "Y", "Y", "22-03-2025", "a few dozen", "", "", "snails ate them"], d="M:NUM:eggs", system="3", began="2025-03-20", males=1, females=2, temperature_c=27, conductivity_us_cm=430, conditioning_days=10, water_change_pct="*", flow=True, spawned=True, spawned_at="2025-03-22", loss="eaten by others", **S)
    return log


def ch_liste():
    log, p = one("b9-ch-liste", "Schweizer Liste: Apostroph in Zahlen, Paare in Worten, Datum mit Monatsnamen, Eier als Spanne.", "Beat Zgraggen/liste.csv", delim=";")
    p.head(["Nr.", "Welches Becken", "Fischart", "Beginn des Versuchs", "Ende des Versuchs", "Zuchttiere", "Wassertemperatur in °C", "Leitwert in µS/cm", "Futter vorher", "Strömung verstärkt", "Laich abgegeben?", "Tag des Ablaichens", "Anzahl Eier (ca.)", "Larven geschlüpft am", "Larven schwimmen am", "Grund bei Verlust", "Bemerkungen"],
           "", "system", "species", "began", "ended", "males females", "temperature_c", "conductivity_us_cm", "", "flow", "spawned", "spawned_at", "eggs", "hatch_to", "swim_to", "loss", "notes")
    S = dict(species="Pterophyllum scalare", system="8", live_food="*", eggs_method="*")
    p.ac(["1", "8", "Pterophyllum scalare", "11. Januar 2025", "2. Februar 2025", "1 Paar", "28", "120", "Artemia", "nein", "ja", "19. Januar 2025", "1'200", "21. Januar 2025", "26. Januar 2025", "", "an der Scheibe"], began="2025-01-11", ended="2025-02-02", males=1, females=1, temperature_c=28, conductivity_us_cm=120, flow=False, spawned=True, spawned_at="2025-01-19", eggs=1200, hatch_to="2025-01-21", swim_to="2025-01-26", notes="an der Scheibe", **S)
    p.ac(["2", "8", "Pterophyllum scalare", "15. Februar 2025", "8. März 2025", "1 Paar", "27", "130", "Flocken", "nein", "nein", "", "", "", "", "", ""], began="2025-02-15", ended="2025-03-08", males=1, females=1, temperature_c=27, conductivity_us_cm=130, flow=False, spawned=False, **{k: v for k, v in S.items() if k != "eggs_method"}, )
    p.ac(["3", "8", "Pterophyllum scalare", "15. März 2025", "5. April 2025", "1 Paar", "28", "125", "Artemia", "ja", "ja", "24. März 2025", "300-400", "", "", "von den Eltern gefressen", ""], began="2025-03-15", ended="2025-04-05", males=1, females=1, temperature_c=28, conductivity_us_cm=125, flow=True, spawned=True, spawned_at="2025-03-24", eggs=350, eggs_low=300, eggs_high=400, loss="eaten by parents", **S)
    return log


def fr_trois_feuilles():
    log = Log("b9-fr-deux-feuilles", "Classeur français: une feuille d'essais, une feuille de pontes, jointes par bac, espèce et date.")
    f = log.file("Gwendal Tanguy/élevage.xlsx", "excelize")
    p = Page(f.sheet("Essais"))
    p.head(["Bac n°", "Espèce", "Poissons introduits le", "Poissons retirés le", "Nb mâles", "Nb femelles", "T°C", "Ponte (oui/non)"], "system", "species", "began", "ended", "males", "females", "temperature_c", "spawned")
    p.a([3, "Puntius titteya", D(2025, 1, 4), D(2025, 1, 11), 2, 2, 24, "oui"], system="3", species="Puntius titteya", began="2025-01-04", ended="2025-01-11", males=2, females=2, temperature_c=24, spawned=True, spawned_at="2025-01-06")
    p.a([3, "Puntius titteya", D(2025, 2, 1), D(2025, 2, 8), 2, 2, 23, "non"], system="3", species="Puntius titteya", began="2025-02-01", ended="2025-02-08", males=2, females=2, temperature_c=23, spawned=False)
    p.a([4, "Pethia conchonius", D(2025, 2, 15), D(2025, 2, 22), 1, 2, 25, "oui"], system="4", species="Pethia conchonius", began="2025-02-15", ended="2025-02-22", males=1, females=2, temperature_c=25, spawned=True, spawned_at="2025-02-17")
    q = Page(f.sheet("Pontes"))
    q.head(["Bac n°", "Espèce", "Ponte le", "Œufs (nb)", "Fécondés", "Éclosion le", "Nage libre le", "Perte : cause"], "system", "species", "laid_to", "eggs", "fertile", "hatch_to", "swim_to", "loss")
    q.c([3, "Puntius titteya", D(2025, 1, 6), 120, 100, D(2025, 1, 7), D(2025, 1, 12), None], attempt="Gwendal Tanguy/élevage.xlsx|Essais|2", system="3", species="Puntius titteya", laid_to="2025-01-06", eggs=120, fertile=100, hatch_to="2025-01-07", swim_to="2025-01-12", females="*", temperature_c="*")
    q.c([4, "Pethia conchonius", D(2025, 2, 17), 200, 150, None, None, "champignons"], attempt="Gwendal Tanguy/élevage.xlsx|Essais|4", system="4", species="Pethia conchonius", laid_to="2025-02-17", eggs=200, fertile=150, loss="fungus", lost_at="*", females="*", temperature_c="*")
    return log


def en_diary_tanks():
    log, p = one("b9-en-diary-tanks", "A diary in three columns, two tanks between each other, short remarks.", "Olive Bramley/diary.csv")
    p.head(["When", "Tank", "What happened"], "at", "system", "")
    a = p.row(["4 Jan 2025", "A", "Set up pair of Betta splendens, 28C"])
    p.begins(a, system="A", species="Betta splendens", began="2025-01-04", spawned=True, spawned_at="2025-01-06", males=1, females=1, temperature_c="*")
    p.read(a, "2025-01-04", "temperature_c", 28, system="A")
    b = p.row(["5 Jan 2025", "B", "Put 3 males and 2 females of Corydoras paleatus together"])
    p.begins(b, system="B", species="Corydoras paleatus", began="2025-01-05", spawned=False, ended="2025-01-25", males=3, females=2, temperature_c="*")
    n = p.row(["6 Jan 2025", "A", "Spawned under the nest, about 150 eggs"])
    p.clutch(n, a, system="A", species="Betta splendens", laid_to="2025-01-06", eggs=150, eggs_method="estimated", hatch_to="2025-01-08", swim_to="2025-01-11")
    n = p.row(["7 Jan 2025", "B", "50% water change"])
    p.act(n, "2025-01-07", "water_change", 50, "%", system="B")
    n = p.row(["7 Jan 2025", "A", "female removed"])
    p.act(n, "2025-01-07", "remove_fish", system="A")
    p.row(["8 Jan 2025", "A", "Hatched"])
    p.row(["11 Jan 2025", "A", "Fry free swimming"])
    n = p.row(["15 Jan 2025", "B", "Looks like eggs on the glass?"])
    p.sheet.doubt(n, "", CODES["ENTRY"])
    n = p.row(["18 Jan 2025", "B", "Fed live daphnia"])
    p.act(n, "2025-01-18", "feed_live", system="B")
    p.row(["25 Jan 2025", "B", "No eggs, gave up"])
    return log


def es_transpuesta():
    log, p = one("b9-es-lista-larga", "Lista larga de una colombiana: muchas columnas, comas decimales, unidades variadas, sí/no.", "Yolanda Rentería/lista.csv", delim=";")
    p.head(["Acuario", "Especie", "Se metieron el", "Se sacaron el", "♂", "♀", "T agua (°C)", "pH", "GH (°dH)", "KH (°dH)", "Nitratos (mg/l)", "Luz (h)", "Hojas de almendro", "Baja de nivel (cm)", "Peces acompañantes", "¿Hubo huevos?", "¿Cuándo?", "Nº", "Fecundados", "Eclosión", "Qué se hizo de ellos"],
           "system", "species", "began", "ended", "males", "females", "temperature_c", "ph", "gh_dh", "kh_dh", "nitrate_mg_l", "light_hours", "leaf_litter", "level_change_cm", "dither tank_mates", "spawned", "spawned_at", "eggs", "fertile", "hatch_to", "loss")
    S = dict(species="Apistogramma borellii", system="A5", dither="*", tank_mates="*")
    p.ac(["A5", "Apistogramma borellii", "12/01/2025", "02/02/2025", "1", "2", "24,5", "6,8", "4", "2", "10", "11", "sí", "5", "no", "sí", "20/01/2025", "70", "60", "24/01/2025", ""], began="2025-01-12", ended="2025-02-02", males=1, females=2, temperature_c=24.5, ph=6.8, gh_dh=4, kh_dh=2, nitrate_mg_l=10, light_hours=11, leaf_litter=True, level_change_cm=-5, spawned=True, spawned_at="2025-01-20", eggs=70, fertile=60, hatch_to="2025-01-24", **S)
    p.ac(["A5", "Apistogramma borellii", "16/02/2025", "09/03/2025", "1", "2", "24", "6,9", "5", "2", "15", "11", "sí", "0", "no", "no", "", "", "", "", ""], began="2025-02-16", ended="2025-03-09", males=1, females=2, temperature_c=24, ph=6.9, gh_dh=5, kh_dh=2, nitrate_mg_l=15, light_hours=11, leaf_litter=True, level_change_cm=0, spawned=False, **S)
    p.ac(["A5", "Apistogramma borellii", "23/03/2025", "13/04/2025", "1", "2", "25", "15", "5", "3", "12", "30", "no", "8", "sí", "sí", "30/03/2025", "55", "50", "", "hongos"], d="H:NUM:ph L:NUM:light_hours", began="2025-03-23", ended="2025-04-13", males=1, females=2, temperature_c=25, gh_dh=5, kh_dh=3, nitrate_mg_l=12, leaf_litter=False, level_change_cm=-8, spawned=True, spawned_at="2025-03-30", eggs=55, fertile=50, loss="fungus", **S)
    return log


def us_two_spawns():
    log, p = one("b9-us-year-sheets", "American workbook, a sheet per year, month-first dates as text, TDS, fractions of water, percent hatched.", "Curtis Boyle/log.xlsx", "excelize", "2025")
    p.head(["Tank", "Species", "Set-up", "Ended", "Pair or group", "Temp. (°F)", "TDS", "Water change", "Spawn Y/N", "Spawn", "Eggs", "Hatch %", "Comments"],
           "system", "species", "began", "ended", "males females", "temperature_c", "", "water_change_pct", "spawned", "spawned_at", "eggs", "hatched", "notes")
    p.ac(["29L", "Apistogramma cacatuoides", "1/18/2025", "2/15/2025", "trio", 79, 110, "25%", "Y", "1/27/2025", 90, "80%", "flower pot"], system="29L", species="Apistogramma cacatuoides", began="2025-01-18", ended="2025-02-15", males=1, females=2, temperature_c=F(79), water_change_pct=25, spawned=True, spawned_at="2025-01-27", eggs=90, hatched="*", notes="flower pot")
    p.ac(["29L", "Apistogramma cacatuoides", "3/1/2025", "3/29/2025", "trio", 78, 120, "10%", "N", None, None, None, None], system="29L", species="Apistogramma cacatuoides", began="2025-03-01", ended="2025-03-29", males=1, females=2, temperature_c=F(78), water_change_pct=10, spawned=False)
    p.ac(["10B", "Betta splendens", "4/5/2025", "4/19/2025", "pair", 81, 140, "couple buckets", "Y", "4/8/2025", 200, "50%", None], d="H:NUM:water_change_pct", system="10B", species="Betta splendens", began="2025-04-05", ended="2025-04-19", males=1, females=1, temperature_c=F(81), spawned=True, spawned_at="2025-04-08", eggs=200, hatched="*")
    return log


LOGS = [au_rainbows, ch_liste, fr_trois_feuilles, en_diary_tanks, es_transpuesta, us_two_spawns]
