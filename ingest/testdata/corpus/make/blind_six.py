"""Blind logs, sixth set: written after the list of headings was widened, with the expected tables fixed before the program read them."""

import datetime as dt

from byhand import *

D = lambda *x: dt.date(*x)
F = lambda f: (f - 32) / 1.8


def uk_attempts():
    log, p = one("b6-uk-attempts", "A British keeper's list, row per attempt: day/month dates, pair codes, vague counts, remarks behind yes.", "Alison Thwaite/breeding list.csv", encoding="cp1252")
    p.row("Alison's breeding list")
    p.row("")
    p.head(["Tank No.", "Fish", "Put together", "No. of pairs", "m/f", "Temp deg C", "pH reading", "Cond. uS", "Brine shrimp?", "Water chg %", "Spawned Y/N", "Eggs first seen", "Approx no. eggs", "First hatch", "Swimming", "Lost to", "Comments"],
           "system", "species", "began", "", "males females", "temperature_c", "ph", "conductivity_us_cm", "", "water_change_pct", "spawned", "spawned_at", "eggs", "hatch_to hatched", "swim_to free_swimming", "loss", "notes")
    S = dict(live_food="*", eggs_method="*")
    p.ac(["3", "Peppered cory", "04/01/2025", "", "3/2", "22", "7.1", "310", "Y", "50", "Y - loads", "07/01/2025", "about 120", "11/01/2025", "13/01/2025", "", "glass by filter outlet"], system="3", species="Corydoras paleatus", began="2025-01-04", males=3, females=2, temperature_c=22, ph=7.1, conductivity_us_cm=310, water_change_pct=50, spawned=True, spawned_at="2025-01-07", eggs=120, hatch_to="2025-01-11", swim_to="2025-01-13", notes="glass by filter outlet", **S)
    p.ac(["3", "Peppered cory", "25/01/2025", "", "3/2", "23", "7.0", "300", "N", "25", "N", "", "", "", "", "", "no interest"], system="3", species="Corydoras paleatus", began="2025-01-25", males=3, females=2, temperature_c=23, ph=7.0, conductivity_us_cm=300, water_change_pct=25, spawned=False, notes="no interest", live_food="*")
    p.ac(["5", "Honey gourami", "01/02/2025", "1", "1/1", "27", "6.8", "240", "Y", "", "Y", "06/02/2025", "200-300", "08/02/2025", "10/02/2025", "starved", ""], system="5", species="Trichogaster chuna", began="2025-02-01", males=1, females=1, temperature_c=27, ph=6.8, conductivity_us_cm=240, spawned=True, spawned_at="2025-02-06", eggs=250, eggs_low=200, eggs_high=300, hatch_to="2025-02-08", swim_to="2025-02-10", loss="starved", **S)
    p.ac(["5", "Honey gourami", "22/02/2025", "1", "1/1", "28", "6.7", "235", "Y", "", "Y", "26/02/2025", "dozens", "", "", "dad ate them", "removed male too late"], d="M:NUM:eggs", system="5", species="Trichogaster chuna", began="2025-02-22", males=1, females=1, temperature_c=28, ph=6.7, conductivity_us_cm=235, spawned=True, spawned_at="2025-02-26", loss="eaten by parents", notes="removed male too late", live_food="*")
    p.ac(["7", "Panda cory", "31/02/2025", "", "4/3", "21", "7", "290", "N", "60", "Y", "09/03/2025", "24", "13/03/2025", "", "fungus", ""], d="C:DATE:began", system="7", species="Corydoras panda", males=4, females=3, temperature_c=21, ph=7, conductivity_us_cm=290, water_change_pct=60, spawned=True, spawned_at="2025-03-09", eggs=24, hatch_to="2025-03-13", loss="fungus", **S)
    return log


def de_ansaetze():
    log, p = one("b6-de-ansaetze", "Zuchtheft als Tabelle: Kalenderwochen neben Tagen, Geschlechter mit Komma, Härte in °dH, Ausgang in Worten.", "Gerlinde Pauk/Zuchtheft.xlsx", "excelize", "Ansätze")
    p.head(["Lfd. Nr.", "Becken", "Fischart", "Eingesetzt am", "KW", "M,W", "Wassertemp. °C", "pH-Wert", "GH °dH", "LW µS/cm", "Mit Mückenlarven gefüttert", "Erlenzapfen/Laub", "Abgelaicht?", "am", "Eier (gesch.)", "verpilzt", "geschlüpft", "schwimmen frei", "Verbleib"],
           "", "system", "species", "began", "", "males females", "temperature_c", "ph", "gh_dh", "conductivity_us_cm", "", "leaf_litter", "spawned", "spawned_at", "eggs", "", "hatched hatch_to", "swim_to free_swimming", "loss")
    S = dict(live_food="*", eggs_method="*")
    p.ac([1, "A1", "Purpurprachtbarsch", D(2025, 1, 6), 2, "1,1", 26.5, 6.2, 4, 180, "ja", "ja", "ja", D(2025, 1, 14), 150, 20, 110, D(2025, 1, 22), ""], system="A1", species="Pelvicachromis pulcher", began="2025-01-06", males=1, females=1, temperature_c=26.5, ph=6.2, gh_dh=4, conductivity_us_cm=180, leaf_litter=True, spawned=True, spawned_at="2025-01-14", eggs=150, hatched=110, swim_to="2025-01-22", **S)
    p.ac([2, "A1", "Purpurprachtbarsch", D(2025, 2, 17), 8, "1,1", 26, 6.3, 4, 190, "ja", "ja", "ja", D(2025, 2, 23), 120, None, None, None, "von Eltern gefressen"], system="A1", species="Pelvicachromis pulcher", began="2025-02-17", males=1, females=1, temperature_c=26, ph=6.3, gh_dh=4, conductivity_us_cm=190, leaf_litter=True, spawned=True, spawned_at="2025-02-23", eggs=120, loss="eaten by parents", **S)
    p.ac([3, "B4", "Schmetterlingsbuntbarsch", D(2025, 3, 3), 10, "2,2", 28.5, 5.8, 2, 90, "nein", "nein", "noch nicht", None, None, None, None, None, ""], system="B4", species="Mikrogeophagus ramirezi", began="2025-03-03", males=2, females=2, temperature_c=28.5, ph=5.8, gh_dh=2, conductivity_us_cm=90, leaf_litter=False, spawned=None, live_food="*")
    p.ac([4, "B4", "Schmetterlingsbuntbarsch", D(2025, 3, 24), 13, "2,2", 285, 5.9, 2, 95, "ja", "nein", "nein", None, None, None, None, None, "aufgegeben"], d="G:NUM:temperature_c S:LOSS:loss", clutch=False, system="B4", species="Mikrogeophagus ramirezi", began="2025-03-24", males=2, females=2, ph=5.9, gh_dh=2, conductivity_us_cm=95, leaf_litter=False, spawned=False, live_food="*")
    return log


def fr_pontes():
    log, p = one("b6-fr-pontes", "Un éleveur français qui ne note que les pontes: une ligne par ponte, traitement, pertes.", "Maëlle Kervadec/pontes.csv", delim=";")
    p.head(["N° ponte", "Cuve", "Poisson", "Ponte trouvée le", "Œufs comptés", "Œufs blancs", "Traitement", "Éclos le", "Larves", "Nagent le", "Alevins", "Causes des pertes", "T° eau"], "", "system", "species", "spawned_at", "eggs", "", "hatch_aid", "hatch_to", "hatched", "swim_to", "free_swimming", "loss", "temperature_c")
    p.ac(["1", "C2", "Scalaire", "3 janv. 2025", "310", "25", "bleu de méthylène", "5 janv. 2025", "240", "10 janv. 2025", "200", "", "27,5"], system="C2", species="Pterophyllum scalare", spawned_at="2025-01-03", eggs=310, hatch_aid="*", hatch_to="2025-01-05", hatched=240, swim_to="2025-01-10", free_swimming=200, temperature_c=27.5)
    p.ac(["2", "C2", "Scalaire", "19 janv. 2025", "280", "280", "aucun", "", "0", "", "", "moisissure", "27"], system="C2", species="Pterophyllum scalare", spawned_at="2025-01-19", eggs=280, hatch_aid="*", hatched=0, loss="fungus", temperature_c=27)
    p.ac(["3", "C5", "Combattant", "2 févr. 2025", "env. 400", "", "", "4 févr. 2025", "", "7 févr. 2025", "~150", "mangés entre eux", "28"], d="K:NUM:free_swimming", system="C5", species="Betta splendens", spawned_at="2025-02-02", eggs=400, eggs_method="estimated", hatch_to="2025-02-04", swim_to="2025-02-07", loss="sibling predation", temperature_c=28)
    return log


def es_dos_hojas():
    log = Log("b6-es-dos-hojas", "Libro con una hoja por especie: encabezados distintos, medias al final, fechas reales.")
    f = log.file("Amparo Iturbe/criadero.xlsx", "excelize")
    p = Page(f.sheet("Corydoras aeneus"), species="Corydoras aeneus")
    p.head(["Pecera", "Puestos juntos el", "Machos", "Hembras", "Tª agua", "pH", "Renovación %", "Agua nueva más fría en (°C)", "¿Hubo puesta?", "Día de la puesta", "Huevos", "Fértiles", "Nacieron"], "system", "began", "males", "females", "temperature_c", "ph", "water_change_pct", "refill_delta_c", "spawned", "spawned_at", "eggs", "fertile", "hatched hatch_to")
    p.ac(["1", D(2025, 1, 11), 4, 2, 24, 6.9, 50, 4, "sí", D(2025, 1, 12), 140, 120, 100], system="1", began="2025-01-11", males=4, females=2, temperature_c=24, ph=6.9, water_change_pct=50, refill_delta_c=-4, spawned=True, spawned_at="2025-01-12", eggs=140, fertile=120, hatched=100)
    p.ac(["1", D(2025, 2, 1), 4, 2, 24, 6.9, 30, 0, "no", None, None, None, None], system="1", began="2025-02-01", males=4, females=2, temperature_c=24, ph=6.9, water_change_pct=30, refill_delta_c=0, spawned=False)
    p.ac(["1", D(2025, 2, 22), 4, 2, 23.5, 7, 50, 5, "sí", D(2025, 2, 24), 90, 95, 60], d="L:NUM:fertile", system="1", began="2025-02-22", males=4, females=2, temperature_c=23.5, ph=7, water_change_pct=50, refill_delta_c=-5, spawned=True, spawned_at="2025-02-24", eggs="*", fertile="*", hatched=60)
    p.row(["Media", None, None, None, 23.8, None, None, None, None, None, 115, None, None])
    q = Page(f.sheet("Betta splendens"), species="Betta splendens")
    q.head(["Acuario", "Macho introducido", "Hembra introducida", "Temperatura", "Nido", "Desove", "Fecha", "Cuántos huevos", "Qué pasó"], "system", "", "began", "temperature_c", "", "spawned", "spawned_at", "eggs", "loss")
    q.ac(["B1", D(2025, 3, 1), D(2025, 3, 4), 28, "grande", "sí", D(2025, 3, 5), 300, "se los comió el macho"], system="B1", began="*", temperature_c=28, spawned=True, spawned_at="2025-03-05", eggs=300, loss="*")
    q.ac(["B1", D(2025, 3, 15), D(2025, 3, 18), 28, "pequeño", "no", None, None, ""], system="B1", began="*", temperature_c=28, spawned=False)
    return log


def en_three_files():
    log = Log("b6-en-three-files", "One keeper, three files: attempts, spawns, jobs done; joined by tank, species and date.")
    f = log.file("Desmond Pryce/setups.csv", "text")
    p = Page(f.sheet(""))
    p.head(["tank", "species", "moved to spawning tank", "removed", "boys", "girls", "temp", "spawned"], "system", "species", "began", "ended", "males", "females", "temperature_c", "spawned")
    p.a(["T1", "Danio rerio", "2025-01-10", "2025-01-13", 2, 1, "26", "yes"], system="T1", species="Danio rerio", began="2025-01-10", ended="*", males=2, females=1, temperature_c=26, spawned=True, spawned_at="2025-01-11")
    p.a(["T1", "Danio rerio", "2025-01-24", "2025-01-28", 2, 1, "25", "no"], system="T1", species="Danio rerio", began="2025-01-24", ended="*", males=2, females=1, temperature_c=25, spawned=False)
    p.a(["T2", "Tanichthys albonubes", "2025-02-07", "2025-02-14", 3, 3, "20", "yes"], system="T2", species="Tanichthys albonubes", began="2025-02-07", ended="*", males=3, females=3, temperature_c=20, spawned=True, spawned_at="2025-02-09")
    g = log.file("Desmond Pryce/spawns.csv", "text")
    q = Page(g.sheet(""))
    q.head(["tank", "species", "eggs laid on", "how many", "hatched on", "swimming on", "what became of them"], "system", "species", "laid_to", "eggs", "hatch_to", "swim_to", "loss")
    q.c(["T1", "Danio rerio", "2025-01-11", 180, "2025-01-14", "2025-01-17", ""], attempt="Desmond Pryce/setups.csv||2", system="T1", species="Danio rerio", laid_to="2025-01-11", eggs=180, hatch_to="2025-01-14", swim_to="2025-01-17", females="*", temperature_c="*")
    q.c(["T2", "Tanichthys albonubes", "2025-02-09", 60, "", "", "snails"], attempt="Desmond Pryce/setups.csv||4", system="T2", species="Tanichthys albonubes", laid_to="2025-02-09", eggs=60, loss="eaten by others", lost_at="*", females="*", temperature_c="*")
    h = log.file("Desmond Pryce/jobs.csv", "text")
    r = Page(h.sheet(""))
    r.head(["date", "tank", "job", "how much"], "at", "system", "", "amount")
    n = r.row(["2025-01-10", "T1", "water change", "40 %"])
    r.act(n, "2025-01-10", "water_change", 40, "%", system="T1")
    n = r.row(["2025-02-08", "T2", "fed live daphnia", ""])
    r.act(n, "2025-02-08", "feed_live", "*", "*", system="T2")
    n = r.row(["2025-02-08", "T2", "fiddled with the lid", ""])
    r.sheet.doubt(n, "", CODES["ENTRY"])
    return log


def de_tagebuch():
    log, p = one("b6-de-tagebuch", "Zuchttagebuch in zwei Spalten, ein Becken, Sätze, Vermutung, Messwerte.", "Wendelin Kolb/tagebuch.csv", delim=";", always=dict(system="*", species="Hyphessobrycon herbertaxelrodi"))
    p.row("Zuchttagebuch Schwarzer Neon (Hyphessobrycon herbertaxelrodi)")
    p.row("")
    p.head(["Tag", "Was war los"], "at", "")
    a = p.row(["12.01.2025", "Paar ins Ablaichbecken gesetzt, 25 °C"])
    p.begins(a, began="2025-01-12", spawned=True, spawned_at="2025-01-14", males="*", females="*", temperature_c="*")
    p.read(a, "2025-01-12", "temperature_c", 25)
    n = p.row(["13.01.2025", "20 % Wasser gewechselt"])
    p.act(n, "2025-01-13", "water_change", 20, "%")
    n = p.row(["14.01.2025", "morgens abgelaicht, ca. 80 Eier"])
    p.clutch(n, a, laid_to="2025-01-14", eggs=80, eggs_method="estimated", hatch_to="2025-01-15", swim_to="2025-01-19")
    p.row(["15.01.2025", "Larven geschlüpft"])
    p.row(["19.01.2025", "Jungfische schwimmen frei"])
    b = p.row(["09.02.2025", "Neuer Ansatz: 2 Paare eingesetzt"])
    p.begins(b, began="2025-02-09", spawned=False, ended="2025-02-16", males="*", females="*", temperature_c="*")
    n = p.row(["11.02.2025", "vielleicht Eier im Moos?"])
    p.sheet.doubt(n, "", CODES["ENTRY"])
    n = p.row(["12.02.2025", "Lebendfutter (Artemia) gefüttert"])
    p.act(n, "2025-02-12", "feed_live", "*", "*")
    p.row(["16.02.2025", "Keine Eier, Versuch beendet"])
    return log


def us_wide():
    log, p = one("b6-us-wide", "Day-by-day sheet of an American, codes with a legend, Fahrenheit, month first.", "Rhonda Vickers/daily codes.csv")
    p.row("E = eggs,H = hatched,S = free swimming,- = nothing")
    p.head(["Tank", "Species", "Date set up", "Pair", "Temp (F)", "Day 0", "Day 1", "Day 2", "Day 3", "Day 4", "Day 5", "Day 6", "Day 7", "Day 8"], "system", "species", "began", "males females", "temperature_c", *["spawned spawned_at hatch_to swim_to"] * 9)
    p.ac(["20L", "Mikrogeophagus ramirezi", "1/18/2025", "1:1", "84", "-", "-", "E", "-", "H", "-", "-", "-", "S"], system="20L", species="Mikrogeophagus ramirezi", began="2025-01-18", males=1, females=1, temperature_c=F(84), spawned=True, spawned_at="2025-01-20", hatch_to="2025-01-22", swim_to="2025-01-26")
    p.ac(["20L", "Mikrogeophagus ramirezi", "2/8/2025", "1:1", "84", "-", "-", "-", "-", "-", "-", "-", "-", "-"], system="20L", species="Mikrogeophagus ramirezi", began="2025-02-08", males=1, females=1, temperature_c=F(84), spawned=False)
    p.ac(["10G", "Betta splendens", "2/22/2025", "1:1", "80", "-", "E", "-", "Q", "H", "S", "-", "-", "-"], d="I:ENTRY:", system="10G", species="Betta splendens", began="2025-02-22", males=1, females=1, temperature_c=F(80), spawned=True, spawned_at="2025-02-23", hatch_to="2025-02-26", swim_to="2025-02-27")
    return log


def es_recogida():
    log, p = one("b6-es-recogida", "Hoja diaria de recogida de huevos de un grupo de killis.", "Tomás Beltrán/recogida.csv", delim=";", always=dict(species="Fundulopanchax gardneri", system=None))
    p.row("Especie: Fundulopanchax gardneri")
    p.row("")
    p.head(["Día", "Huevos buenos", "Huevos malos", "Total huevos", "Temp. agua (°C)", "Observ."], "spawned_at began", "fertile eggs", "fertile eggs", "eggs", "temperature_c", "notes")
    for day, good, bad, total, temp, note in [("13/01/2025", 12, 3, 15, "22,5", ""), ("14/01/2025", 0, 0, 0, "22,5", "nada en la mopa"), ("15/01/2025", 9, 1, 10, "23", ""), ("16/01/2025", 8, 2, 12, "23", "")]:
        at = dt.datetime.strptime(day, "%d/%m/%Y").date()
        t = float(temp.replace(",", "."))
        kw = dict(began="*", ended="*", temperature_c=t)
        if total == 0:
            p.a([day, good, bad, total, temp, note], spawned=False, notes=note, **kw)
        elif good + bad != total:
            p.ac([day, good, bad, total, temp, note], d="D:NUM:", spawned=True, spawned_at=at, eggs="*", fertile="*", **kw)
        else:
            p.ac([day, good, bad, total, temp, note], spawned=True, spawned_at=at, eggs=total, fertile=good, **kw)
    return log


def fr_sonde():
    log, p = one("b6-fr-sonde", "Export d'une sonde: préambule, valeurs manquantes, capteur débranché, pression en hPa.", "Yannick Ollivier/sonde.csv", delim=";")
    p.row("Sonde aquarium 2;n° 0042")
    p.row("Intervalle;6 h")
    p.row("")
    p.head(["Date et heure", "Température eau (°C)", "Pression atm. (hPa)"], "at", "value", "value")
    for w, t, h in [("01/02/2025 00:00", "24,1", "1012,3"), ("01/02/2025 06:00", "24,0", "1010,8"), ("01/02/2025 12:00", "-127", "1009,1"), ("01/02/2025 18:00", "24,3", "---"), ("13/02/2025 00:00", "24,2", "1001,0")]:
        n = p.row([w, t, h], d="B:SENSOR:value" if t == "-127" else "")
        at = dt.datetime.strptime(w, "%d/%m/%Y %H:%M")
        if t != "-127":
            p.read(n, at, "temperature_c", float(t.replace(",", ".")), system="*")
        if h != "---":
            p.read(n, at, "air_pressure_hpa", float(h.replace(",", ".")), system="*")
    return log


def en_blocks():
    log, p = one("b6-en-blocks", "A block per tank below each other, each with a title and the same headings again.", "Fergus Tulloch/tanks.csv")
    for tank, species, rows in [("Tank 1", "Danio rerio", [("6 Jan 2025", "7 Jan 2025", "150", "y", ""), ("20 Jan 2025", "", "", "n", "")]), ("Tank 2", "Pethia conchonius", [("8 Jan 2025", "10 Jan 2025", "90", "y", "fungus"), ("29 Jan 2025", "", "", "n", "")])]:
        p.row(f"{tank} - {species}")
        p.head(["Date in", "Spawn seen", "Egg count", "Success?", "Reason lost"], "began", "spawned_at", "eggs", "spawned", "loss")
        for b, s, e, y, why in rows:
            when = lambda x: dt.datetime.strptime(x, "%d %b %Y").date() if x else None
            kw = dict(eggs=int(e), loss=why or None) if e else {}
            p.ac([b, s, e, y, why], system="*", species=species, began=when(b), spawned=y == "y", spawned_at=when(s), **kw)
        p.row("")
    return log


def de_wochentage():
    log, p = one("b6-de-wochentage", "Datum mit Wochentag davor, Uhrzeit der Eiablage, Anmerkungszeilen zwischen den Zeilen.", "Roswitha Enz/Liste.csv", delim=";")
    p.head(["Becken", "Art", "Zusammengesetzt", "Tiere m/w", "Temp.", "Wasserstand gesenkt um (cm)", "WW %", "Gelaicht", "Laich entdeckt am", "Gelegegröße", "Schlupf nach Tagen"], "system", "species", "began", "males females", "temperature_c", "level_change_cm", "water_change_pct", "spawned", "spawned_at", "eggs", "hatch_to")
    S = dict(species="Corydoras sterbai")
    p.ac(["7", "Corydoras sterbai", "Sa, 11.01.2025", "3/2", "25,5", "5", "50", "ja", "Mo, 13.01.2025", "60", "4"], system="7", began="2025-01-11", males=3, females=2, temperature_c=25.5, level_change_cm=-5, water_change_pct=50, spawned=True, spawned_at="2025-01-13", eggs=60, hatch_to="2025-01-17", **S)
    p.row(["--- danach vier Wochen Pause, Tiere in Ruhe gelassen ---", "", "", "", "", "", "", "", "", "", ""])
    p.ac(["7", "Corydoras sterbai", "Sa, 15.02.2025", "3/2", "26", "", "30", "nein", "", "", ""], system="7", began="2025-02-15", males=3, females=2, temperature_c=26, water_change_pct=30, spawned=False, **S)
    p.ac(["7", "Corydoras sterbai", "So, 08.03.2025", "3/2", "25", "8", "50", "ja", "Mo, 10.03.2025", "45", "4"], d="C:DATE:", system="7", began="*", males=3, females=2, temperature_c=25, level_change_cm=-8, water_change_pct=50, spawned=True, spawned_at="2025-03-10", eggs=45, hatch_to="2025-03-14", **S)
    return log


def en_groups():
    log, p = one("b6-en-two-row-head", "Two rows of headings: groups above, details below, units in a third row.", "Noreen Mulcahy/book.xlsx", "excelize", "Log")
    p.row(["", "", "Set-up", "", "Water", "", "", "Spawn", "", "Result", "", ""])
    p.row(["Tank", "Species", "Date", "M.F", "Temp", "pH", "GH", "Y/N", "Date", "Eggs", "Hatched", "Swim date"])
    n = p.head([None, None, None, None, "°F", None, "dGH", None, None, "n", "n", None], "system", "species", "began", "males females", "temperature_c", "ph", "gh_dh", "spawned", "spawned_at", "eggs", "hatched", "swim_to")
    S = dict(species="Trichopodus leerii")
    p.ac(["A", "Pearl gourami", D(2025, 1, 5), "1.2", 80, 6.8, 6, "y", D(2025, 1, 12), 500, 420, D(2025, 1, 16)], system="A", began="2025-01-05", males=1, females=2, temperature_c=F(80), ph=6.8, gh_dh=6, spawned=True, spawned_at="2025-01-12", eggs=500, hatched=420, swim_to="2025-01-16", **S)
    p.ac(["A", "Pearl gourami", D(2025, 2, 9), "1.2", 79, 6.9, 6, "n", None, None, None, None], system="A", began="2025-02-09", males=1, females=2, temperature_c=F(79), ph=6.9, gh_dh=6, spawned=False, **S)
    p.ac(["B", "Pearl gourami", D(2025, 2, 9), "2.3", 82, 6.7, 5, "y", D(2025, 2, 14), "several hundred", None, None], d="J:NUM:eggs", system="B", began="2025-02-09", males=2, females=3, temperature_c=F(82), ph=6.7, gh_dh=5, spawned=True, spawned_at="2025-02-14", **S)
    return log


def fr_essais():
    log, p = one("b6-fr-essais", "Essais d'un Québécois: dates ISO, pieds d'égalité entre oui/non, espèce abrégée, remarques.", "Benoît Lachance/essais.csv", delim=";")
    p.head(["Aquarium", "Espèce", "Couple mis ensemble le", "Mâles", "Femelles", "Temp. eau", "Conductivité (µS)", "Nourri au vivant", "Éclairage h/jour", "A pondu ?", "Quand", "Quantité d'œufs", "Taux d'éclosion %", "Perdu pourquoi", "Fin de l'essai", "Autres remarques"], "system", "species", "began", "males", "females", "temperature_c", "conductivity_us_cm", "live_food", "light_hours", "spawned", "spawned_at", "eggs", "", "loss", "ended", "notes")
    p.ac(["4", "Apistogramma cacatuoides", "2025-01-03", "1", "2", "27", "95", "o", "10", "o", "2025-01-09", "75", "80", "", "2025-01-30", "grotte en coco"], system="4", species="Apistogramma cacatuoides", began="2025-01-03", males=1, females=2, temperature_c=27, conductivity_us_cm=95, live_food=True, light_hours=10, spawned=True, spawned_at="2025-01-09", eggs=75, hatched="*", ended="2025-01-30", notes="grotte en coco")
    p.ac(["4", "A. cacatuoides", "2025-02-10", "1", "2", "26,5", "110", "n", "10", "n", "", "", "", "", "2025-03-02", ""], system="4", species="Apistogramma cacatuoides", began="2025-02-10", males=1, females=2, temperature_c=26.5, conductivity_us_cm=110, live_food=False, light_hours=10, spawned=False, ended="2025-03-02")
    p.ac(["6", "A. borellii", "2025-02-15", "1", "1", "24", "1O0", "o", "11", "o", "2025-02-22", "50", "0", "non fécondés", "2025-03-02", ""], d="G:NUM:conductivity_us_cm", system="6", species="Apistogramma borellii", began="2025-02-15", males=1, females=1, temperature_c=24, live_food=True, light_hours=11, spawned=True, spawned_at="2025-02-22", eggs=50, hatched="*", loss="infertile", ended="2025-03-02")
    p.ac(["6", "A. borellii", "2025-03-15", "1", "1", "24", "120", "peut-être", "11", "o", "2025-03-12", "40", "", "disparus", "", ""], d="H:YES:live_food K:DATE:", system="6", species="Apistogramma borellii", began="*", males=1, females=1, temperature_c=24, conductivity_us_cm=120, light_hours=11, spawned="*", spawned_at="*", laid_to="*", eggs="*", loss="*", lost_at="*")
    return log


def us_notebook():
    log, p = one("b6-us-notebook", "An American's plain text notes, a date and a sentence per line, two tanks by headings.", "Earl Dupree/fish notes.txt", "text", always=dict(species="Danio rerio"))
    p.row("Fish room notes 2025")
    p.row("Zebra danios, tank 12")
    p.row("")
    a = p.row("Jan 18 2025 - put 2 males and 2 females in the spawning tank, 78F")
    p.begins(a, system="*", began="2025-01-18", spawned=True, spawned_at="2025-01-19", males="*", females="*", temperature_c="*")
    p.read(a, "2025-01-18", "temperature_c", F(78), system="*")
    n = p.row("Jan 19 2025 - spawned this morning, counted 210 eggs")
    p.clutch(n, a, system="*", laid_to="2025-01-19", eggs=210, hatch_to="2025-01-22", swim_to="2025-01-25")
    p.row("Jan 22 2025 - hatched")
    p.row("Jan 25 2025 - fry free swimming")
    n = p.row("Jan 26 2025 - changed 25% of the water")
    p.act(n, "2025-01-26", "water_change", 25, "%", system="*")
    b = p.row("Feb 15 2025 - set them up again")
    p.begins(b, system="*", began="2025-02-15", spawned=False, ended="2025-02-20", males="*", females="*", temperature_c="*")
    n = p.row("Feb 17 2025 - might be eggs under the marbles, not sure")
    p.sheet.doubt(n, "", CODES["ENTRY"])
    p.row("Feb 20 2025 - no eggs, gave up")
    return log


LOGS = [uk_attempts, de_ansaetze, fr_pontes, es_dos_hojas, en_three_files, de_tagebuch, us_wide, es_recogida, fr_sonde, en_blocks, de_wochentage, en_groups, fr_essais, us_notebook]
