"""Blind logs, eighth set: written after the seventh was mended, with the expected tables fixed before the program read them."""

import datetime as dt

from byhand import *

D = lambda *x: dt.date(*x)
F = lambda f: (f - 32) / 1.8


def ie_pairs():
    log, p = one("b8-ie-pairs", "An Irish keeper's sheet: two-digit years, sexes in words, vague numbers, what happened in words.", "Siobhán Keane/pairs 2025.csv")
    p.head(["Pair", "What", "Which tank", "Day they went in", "Day split", "Fish used", "Heat (°C)", "Hardness (dGH)", "Bloodworm/daphnia live?", "New water in", "Any luck?", "Day of eggs", "How many eggs roughly", "Hatched?", "Why none survived", "My thoughts"],
           "", "species", "system", "began", "ended", "males females", "temperature_c", "gh_dh", "live_food", "", "spawned", "spawned_at", "eggs", "hatch_to hatched", "loss", "notes")
    S = dict(live_food="*", hatched="*", water_change_pct="*")
    p.ac(["P1", "Apistogramma cacatuoides", "T4", "18/1/25", "8/2/25", "1 male 2 females", "26", "5", "yes", "a third", "yes", "24/1/25", "80", "yes", "", "cave with slate"], system="T4", species="Apistogramma cacatuoides", began="2025-01-18", ended="2025-02-08", males=1, females=2, temperature_c=26, gh_dh=5, spawned=True, spawned_at="2025-01-24", eggs=80, eggs_method="*", notes="cave with slate", **S)
    p.ac(["P2", "Apistogramma cacatuoides", "T4", "22/2/25", "15/3/25", "1 male 2 females", "25", "6", "no", "", "no luck", "", "", "", "", ""], system="T4", species="Apistogramma cacatuoides", began="2025-02-22", ended="2025-03-15", males=1, females=2, temperature_c=25, gh_dh=6, spawned=False, clutch=False, **S)
    p.ac(["P3", "Apistogramma agassizii", "T6", "1/3/25", "", "a pair", "27", "soft", "yes", "", "yes", "9/3/25", "loads", "no", "fungus", "acidic next time"], d="H:NUM:gh_dh M:NUM:eggs", system="T6", species="Apistogramma agassizii", began="2025-03-01", males=1, females=1, temperature_c=27, spawned=True, spawned_at="2025-03-09", loss="fungus", notes="acidic next time", **S)
    return log


def de_excel():
    log, p = one("b8-de-zuchtliste", "Zuchtliste als Arbeitsmappe: Gruppenköpfe über Spalten, Einheiten in Klammern, leere Trennzeilen, Mittelwert am Ende.", "Siegbert Laux/Zuchtliste.xlsx", "excelize", "Liste")
    p.row(["", "", "Ansatz", "", "", "Wasser", "", "", "Gelege", "", "", "Jungfische", ""])
    p.head(["Becken", "Art", "von", "bis", "Paare/Gruppe", "Temp. [°C]", "pH", "LW [µS]", "gelaicht", "Datum", "Anzahl", "freischwimmend am", "Anzahl"],
           "system", "species", "began", "ended", "males females", "temperature_c", "ph", "conductivity_us_cm", "spawned", "spawned_at", "eggs", "swim_to", "free_swimming hatched")
    S = dict(species="Pelvicachromis taeniatus")
    p.ac(["4", "Pelvicachromis taeniatus", D(2025, 1, 5), D(2025, 2, 2), "1/1", 25, 6.4, 150, "ja", D(2025, 1, 12), 90, D(2025, 1, 20), 60], system="4", began="2025-01-05", ended="2025-02-02", males=1, females=1, temperature_c=25, ph=6.4, conductivity_us_cm=150, spawned=True, spawned_at="2025-01-12", eggs=90, swim_to="2025-01-20", free_swimming="*", hatched="*", **S)
    p.row([None])
    p.ac(["4", "Pelvicachromis taeniatus", D(2025, 2, 16), D(2025, 3, 9), "1/1", 24.5, 6.5, 160, "nein", None, None, None, None], system="4", began="2025-02-16", ended="2025-03-09", males=1, females=1, temperature_c=24.5, ph=6.5, conductivity_us_cm=160, spawned=False, **S)
    p.ac(["5", "Pelvicachromis taeniatus", D(2025, 3, 2), None, "2/3", 26, 64, 155, "ja", D(2025, 3, 8), 70, D(2025, 3, 17), 50], d="G:NUM:ph", system="5", began="2025-03-02", males=2, females=3, temperature_c=26, conductivity_us_cm=155, spawned=True, spawned_at="2025-03-08", eggs=70, swim_to="2025-03-17", free_swimming="*", hatched="*", **S)
    p.row(["Mittelwert", None, None, None, None, 25.2, None, 155, None, None, 80, None, 55])
    return log


def fr_carnet():
    log, p = one("b8-fr-carnet", "Carnet en deux colonnes d'une Française: phrases, un essai perdu, un essai sans ponte.", "Clémence Aubry/carnet.csv", delim=";", always=dict(system="*", species="Corydoras sterbai"))
    p.row("Carnet - Corydoras sterbai - bac 7")
    p.row("")
    p.head(["Date", "Observations"], "at", "")
    a = p.row(["11/01/2025", "J'installe 3 mâles et 2 femelles dans le bac de ponte, 25 °C"])
    p.begins(a, began="2025-01-11", spawned=True, spawned_at="2025-01-15", males="*", females="*", temperature_c="*")
    p.read(a, "2025-01-11", "temperature_c", 25)
    n = p.row(["14/01/2025", "Changement d'eau de 50 %, plus froide de 4 °C"])
    p.act(n, "2025-01-14", "water_change", 50, "%")
    n = p.row(["15/01/2025", "Ponte ce matin : 85 œufs comptés"])
    p.clutch(n, a, laid_to="2025-01-15", eggs=85, hatch_to="2025-01-19", last_seen="*")
    p.row(["19/01/2025", "Éclosion"])
    b = p.row(["15/02/2025", "Nouvel essai avec le même groupe"])
    p.begins(b, began="2025-02-15", spawned=False, ended="2025-03-01", males="*", females="*", temperature_c="*")
    n = p.row(["20/02/2025", "Il me semble voir des œufs derrière le filtre"])
    p.sheet.doubt(n, "", CODES["ENTRY"])
    n = p.row(["22/02/2025", "Nourris avec des artémias vivantes"])
    p.act(n, "2025-02-22", "feed_live")
    p.row(["01/03/2025", "Toujours rien, essai abandonné"])
    return log


def es_tabla():
    log, p = one("b8-es-tabla", "Tabla de una argentina: fechas con puntos, punto decimal, sexos con más, pérdidas en palabras.", "Mercedes Olivetti/cruzas.csv", delim=";")
    p.head(["Pecera Nº", "Pez", "Armado el", "Desarmado el", "Planteles (M+H)", "Temperatura °C", "PH", "Microsiemens", "Recambio de agua %", "Hojas secas", "Resultado", "Día del desove", "Nro. de huevos", "Nacidos", "Nadando", "¿Qué los mató?", "Aclaraciones"],
           "system", "species", "began", "ended", "males females", "temperature_c", "ph", "conductivity_us_cm", "water_change_pct", "leaf_litter", "spawned", "spawned_at", "eggs", "hatched", "free_swimming", "loss", "notes")
    p.ac(["2", "Escalar", "11.01.2025", "01.02.2025", "1+1", "28", "6.6", "140", "20", "no", "desovaron", "19.01.2025", "260", "200", "150", "", "en el calentador"], system="2", species="Pterophyllum scalare", began="2025-01-11", ended="2025-02-01", males=1, females=1, temperature_c=28, ph=6.6, conductivity_us_cm=140, water_change_pct=20, leaf_litter=False, spawned=True, spawned_at="2025-01-19", eggs=260, hatched=200, free_swimming=150, notes="en el calentador")
    p.ac(["2", "Escalar", "15.02.2025", "08.03.2025", "1+1", "27.5", "6.8", "150", "10", "no", "nada", "", "", "", "", "", ""], system="2", species="Pterophyllum scalare", began="2025-02-15", ended="2025-03-08", males=1, females=1, temperature_c=27.5, ph=6.8, conductivity_us_cm=150, water_change_pct=10, leaf_litter=False, spawned=False)
    p.ac(["9", "Ramirezi", "16.03.2025", "30.03.2025", "2+2", "29", "6.0", "90", "15", "sí", "desovaron", "21.03.2025", "180", "", "", "se los comieron los padres", ""], system="9", species="Mikrogeophagus ramirezi", began="2025-03-16", ended="2025-03-30", males=2, females=2, temperature_c=29, ph=6, conductivity_us_cm=90, water_change_pct=15, leaf_litter=True, spawned=True, spawned_at="2025-03-21", eggs=180, loss="eaten by parents")
    p.ac(["9", "Ramirezi", "06.04.2025", "20.04.2025", "2+2", "92", "6.0", "90", "15", "sí", "más o menos", "", "", "", "", "", ""], d="F:NUM:temperature_c K:YES:spawned", system="9", species="Mikrogeophagus ramirezi", began="2025-04-06", ended="2025-04-20", males=2, females=2, ph=6, conductivity_us_cm=90, water_change_pct=15, leaf_litter=True, spawned=None)
    return log


def us_rainbow():
    log, p = one("b8-us-mops", "An American's mop-check sheet: each day the eggs picked from mops, good and bad, temperature in F; no header for the notes.", "Wayne Hollis/mop checks.csv", always=dict(species="Melanotaenia praecox", system="*"))
    p.row("Tank 9 Melanotaenia praecox mop checks")
    p.head(["Checked", "Good eggs", "Bad eggs", "Total", "Temp F", "Comment"], "spawned_at began", "fertile eggs", "fertile eggs", "eggs", "temperature_c", "notes")
    for w, g, b, t, f, c in [("1/14/2025", 14, 2, 16, 78, ""), ("1/15/2025", 0, 0, 0, 78, "nothing in mop"), ("1/16/2025", 20, 1, 21, 79, "after big water change"), ("1/17/2025", 9, 2, 11, 79, "")]:
        at = dt.datetime.strptime(w, "%m/%d/%Y").date()
        kw = dict(began="*", ended="*", temperature_c=F(f))
        if t:
            p.ac([w, g, b, t, f, c], spawned=True, spawned_at=at, eggs=t, fertile=g, **kw)
        else:
            p.a([w, g, b, t, f, c], spawned=False, **kw)
    return log


def de_pruefung():
    log, p = one("b8-de-wassertests", "Wassertests eines Beckens, je Woche eine Zeile, mit Luftdruck und Bemerkungen, Komma als Dezimalzeichen.", "Irmhild Sauer/tests.csv", delim=";", always=dict(system="*"))
    p.row("Wassertests Becken 3")
    p.head(["gemessen am", "Wassertemperatur (°C)", "pH-Wert", "Leitfähigkeit (µS/cm)", "NO3 (mg/l)", "Luftdruck (hPa)", "was noch"], "at", "value", "value", "value", "value", "value", "")
    for w, t, ph, lf, no, hpa in [("05.01.2025", "25,5", "6,8", "320", "10", "1021"), ("12.01.2025", "25,3", "6,7", "330", "15", "1008"), ("19.01.2025", "25,4", "-", "325", "<5", "1013"), ("26.01.2025", "25,2", "6,9", "340", "12", "103")]:
        n = p.row([w, t, ph, lf, no, hpa, ""], d=("E:NUM:value " if no == "<5" else "") + ("F:SENSOR:value" if hpa == "103" else ""))
        at = dt.datetime.strptime(w, "%d.%m.%Y").date()
        f = lambda x: float(x.replace(",", "."))
        p.read(n, at, "temperature_c", f(t))
        if ph != "-":
            p.read(n, at, "ph", f(ph))
        p.read(n, at, "conductivity_us_cm", f(lf))
        if no != "<5":
            p.read(n, at, "nitrate_mg_l", f(no))
        if hpa != "103":
            p.read(n, at, "air_pressure_hpa", f(hpa))
    return log


def uk_discus_spawns():
    log, p = one("b8-uk-spawn-record", "Spawn record only: a row per spawn, female named, days to hatch, reasons in sentences.", "Trevor Ambler/spawns.csv")
    p.head(["Spawn #", "Pair", "Breed", "Eggs laid on", "Clutch (est)", "White after 48h", "Hatched after (days)", "Swimming after (days)", "No. raised", "What went wrong", "T (°C)"], "", "", "species", "spawned_at", "eggs", "", "hatch_to", "swim_to", "", "loss", "temperature_c")
    S = dict(species="Symphysodon aequifasciatus", system=None, eggs_method="*", males="*", females="*")
    p.ac(["1", "A", "Symphysodon aequifasciatus", "18 Jan 2025", "200", "30", "3", "6", "80", "", "29"], spawned_at="2025-01-18", eggs=200, hatch_to="2025-01-21", swim_to="2025-01-24", temperature_c=29, **S)
    p.ac(["2", "A", "Symphysodon aequifasciatus", "1 Feb 2025", "180", "180", "", "", "", "not fertilised", "29.5"], spawned_at="2025-02-01", eggs=180, loss="infertile", temperature_c=29.5, **S)
    p.ac(["3", "B", "Symphysodon aequifasciatus", "20 Feb 2025", "220", "20", "3", "5", "0", "heater stuck on", "30"], spawned_at="2025-02-20", eggs=220, hatch_to="2025-02-23", swim_to="2025-02-25", loss="equipment", temperature_c=30, **S)
    return log


def ca_bilingual():
    log, p = one("b8-ca-daphne", "A Canadian's tidy sheet: snake_case headings, ISO dates, TRUE/FALSE, units in names.", "Daphne Leclair/trials.csv")
    p.head(["tank_id", "species_name", "start_date", "end_date", "n_males", "n_females", "water_temp_c", "ph_value", "cond_us", "photoperiod_h", "live_food_given", "wc_pct", "did_spawn", "spawn_date", "egg_count", "hatch_date", "n_hatched", "swim_date", "comments"],
           "system", "species", "began", "ended", "males", "females", "temperature_c", "ph", "conductivity_us_cm", "light_hours", "live_food", "water_change_pct", "spawned", "spawned_at", "eggs", "hatch_to", "hatched", "swim_to", "notes")
    S = dict(species="Danio margaritatus")
    p.ac(["N1", "Danio margaritatus", "2025-01-04", "2025-01-18", 3, 3, "24.0", "7.0", "210", "12", "TRUE", "30", "TRUE", "2025-01-06", "18", "2025-01-09", "15", "2025-01-12", "moss"], system="N1", began="2025-01-04", ended="2025-01-18", males=3, females=3, temperature_c=24, ph=7, conductivity_us_cm=210, light_hours=12, live_food=True, water_change_pct=30, spawned=True, spawned_at="2025-01-06", eggs=18, hatch_to="2025-01-09", hatched=15, swim_to="2025-01-12", notes="moss", **S)
    p.ac(["N1", "Danio margaritatus", "2025-02-01", "2025-02-15", 3, 3, "23.5", "7.1", "220", "10", "FALSE", "0", "FALSE", "", "", "", "", "", ""], system="N1", began="2025-02-01", ended="2025-02-15", males=3, females=3, temperature_c=23.5, ph=7.1, conductivity_us_cm=220, light_hours=10, live_food=False, water_change_pct=0, spawned=False, **S)
    p.ac(["N2", "Danio margaritatus", "2025-02-30", "2025-03-10", 2, 4, "24", "7.0", "215", "12", "TRUE", "25", "TRUE", "2025-03-03", "22", "2025-03-06", "30", "", ""], d="C:DATE:began Q:NUM:", system="N2", ended="2025-03-10", males=2, females=4, temperature_c=24, ph=7, conductivity_us_cm=215, light_hours=12, live_food=True, water_change_pct=25, spawned=True, spawned_at="2025-03-03", eggs="*", hatch_to="2025-03-06", hatched="*", **S)
    return log


LOGS = [ie_pairs, de_excel, fr_carnet, es_tabla, us_rainbow, de_pruefung, uk_discus_spawns, ca_bilingual]
