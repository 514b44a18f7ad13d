"""Blind logs, third set: written after the second was mended, with the expected tables fixed before the program read them."""

import datetime as dt

from byhand import *

D = lambda *x: dt.date(*x)
F = lambda f: (f - 32) / 1.8


def au_gudgeons():
    log, p = one("b3-au-fishroom", "An Australian's CSV: day/month/two-digit year, 'nil' and 'N/R', tanks as letters, dates in brackets, approximate hatch.", "Bronwyn Tulk/fishroom.csv", eol="\r\n")
    p.head(["Tank", "Fish", "In together", "Water temp", "Spawned Y/N", "First eggs", "Approx no. eggs", "Hatch", "Free swim", "Outcome"], "system", "species", "began", "temperature_c", "spawned", "spawned_at", "eggs", "hatch_to hatched", "swim_to free_swimming", "")
    S = dict(species="Melanotaenia praecox")
    p.ac(["R", "Melanotaenia praecox", "13/01/25", "25.5", "Y", "15/01/25", "30", "22/01/25", "22/01/25", "raised 12"], system="R", began="2025-01-13", temperature_c=25.5, spawned=True, spawned_at="2025-01-15", eggs=30, eggs_method="estimated", hatch_to="2025-01-22", swim_to="2025-01-22", **S)
    p.ac(["R", "Melanotaenia praecox", "27/01/25", "26", "N", "nil", "nil", "nil", "nil", "nothing doing"], d="G:NUM:eggs", system="R", began="2025-01-27", temperature_c=26, spawned=False, **S)
    p.ac(["S", "Melanotaenia praecox", "10/02/25", "26", "Y", "11/02/25", "45", "18/02/25", "N/R", ""], system="S", began="2025-02-10", temperature_c=26, spawned=True, spawned_at="2025-02-11", eggs=45, eggs_method="estimated", hatch_to="2025-02-18", **S)
    p.ac(["S", "Melanotaenia praecox", "24/02/25", "2 6", "Y", "25/02/25", "20", "", "", "fungus got the lot"], d="D:NUM:temperature_c", system="S", began="2025-02-24", spawned=True, spawned_at="2025-02-25", eggs=20, eggs_method="estimated", loss="*", **S)
    p.ac(["S", "Melanotaenia praecox", "10/03/25", "25", "Y?", "12/03/25", "8", "", "", ""], d="E:YES:", system="S", began="2025-03-10", temperature_c=25, spawned="*", spawned_at="*", laid_to="*", eggs=8, eggs_method="*", **S)
    return log


def de_vereinsbogen():
    log, p = one("b3-de-vereinsbogen", "Ein Vereinsbogen als Tabelle: Züchter und Jahr im Kopf, drei Zeilen Kopf, Einheiten in Klammern, Summenzeile, Fußnote.", "Verein/Bogen Krüger.xlsx", "libreoffice-xlsx", "Bogen", keeper="Edeltraud Krüger")
    p.row(["Zuchtbogen", None, None])
    p.row(["Züchter:", "Edeltraud Krüger"])
    p.row(["Jahr:", 2024])
    p.row([])
    p.head(["lfd. Nr.", "Fischart", "Becken-Nr.", "Zuchtbeginn", "Männchen", "Weibchen", "Wassertemperatur (°C)", "pH-Wert", "GH (°dH)", "Laicherfolg (ja/nein)", "Tag der Eiablage", "Eizahl", "aufgezogen"], "", "species", "system", "began", "males", "females", "temperature_c", "ph", "gh_dh", "spawned", "spawned_at", "eggs", "")
    p.ac([1, "Skalar", "A", D(2024, 2, 3), 1, 1, 27.5, 6.5, 5, "ja", D(2024, 2, 9), 350, 120], system="A", species="Pterophyllum scalare", began="2024-02-03", males=1, females=1, temperature_c=27.5, ph=6.5, gh_dh=5, spawned=True, spawned_at="2024-02-09", eggs=350)
    p.ac([2, "Skalar", "A", D(2024, 3, 16), 1, 1, 27, 6.6, 5, "nein", None, None, None], system="A", species="Pterophyllum scalare", began="2024-03-16", males=1, females=1, temperature_c=27, ph=6.6, gh_dh=5, spawned=False)
    p.ac([3, "Pandapanzerwels", "B", D(2024, 4, 20), 3, 2, 22, 6.9, 7, "ja", D(2024, 4, 22), "etwa 45", 20], system="B", species="Corydoras panda", began="2024-04-20", males=3, females=2, temperature_c=22, ph=6.9, gh_dh=7, spawned=True, spawned_at="2024-04-22", eggs=45, eggs_method="estimated")
    p.ac([4, "Pandapanzerwels", "B", D(2024, 5, 11), "3?", 2, 22.5, 6.9, "weich", "ja", D(2024, 5, 14), 38, "alle weg"], d="E:NUM:males I:NUM:gh_dh", system="B", species="Corydoras panda", began="2024-05-11", males=None, females=2, temperature_c=22.5, ph=6.9, spawned=True, spawned_at="2024-05-14", eggs=38)
    p.row([None, None, None, None, None, None, None, None, None, None, "Summe", 433, 140])
    p.row(["Alle Angaben nach bestem Wissen."])
    return log


def fr_journal_texte():
    log, p = one("b3-fr-journal-texte", "Un journal en lignes: date, tiret, phrases; l'espèce et le bac dans le titre.", "Yann Le Floc'h/journal.txt", "text", encoding="cp1252", always=dict(system="*", species="Betta splendens"))
    p.row("Bac 2 - Betta splendens")
    p.row("")
    a = p.row("14/09/2024 - mise en place du couple, 28 °C")
    p.begins(a, began="2024-09-14", spawned=True, spawned_at="2024-09-17", males="*", females="*", temperature_c="*")
    p.read(a, "2024-09-14", "temperature_c", 28)
    p.row("15/09/2024 - nid de bulles, pas d'œufs")
    n = p.row("17/09/2024 - ponte, environ 250 œufs")
    p.clutch(n, a, laid_to="2024-09-17", eggs=250, eggs_method="estimated", hatch_to="2024-09-19", swim_to="2024-09-22")
    p.row("19/09/2024 - éclosion")
    p.row("22/09/2024 - alevins en nage libre")
    b = p.row("12/10/2024 - nouvel essai avec le même couple")
    p.begins(b, began="2024-10-12", spawned=False, ended="2024-10-20", males="*", females="*", temperature_c="*")
    n = p.row("14/10/2024 - changement d'eau de 20 %")
    p.act(n, "2024-10-14", "water_change", 20, "%")
    n = p.row("16/10/2024 - peut-être une ponte cette nuit")
    p.sheet.doubt(n, "", CODES["ENTRY"])
    p.row("20/10/2024 - abandon")
    return log


def es_tabla():
    log, p = one("b3-es-tabla", "Tabla de un acuarista: 'hembras' y 'machos', dureza con unidad en la celda, cambio de agua en litros con el volumen, bajada de temperatura.", "Eulalia Zubiri/tabla.csv", delim=";")
    p.head(["Especie", "Acuario", "Volumen (L)", "Machos", "Hembras", "Fecha de inicio", "Cambio de agua", "Temperatura (°C)", "GH", "Desove", "Fecha del desove", "N.º de huevos", "Fecha eclosión"], "species", "system", "", "males", "females", "began", "water_change_pct", "temperature_c", "gh_dh", "spawned", "spawned_at", "eggs", "hatch_to")
    S = dict(species="Corydoras aeneus")
    p.ac(["Corydoras aeneus", "B1", "60", "3", "2", "18-01-2025", "15 L", "24,0", "6 °dH", "sí", "19-01-2025", "95", "23-01-2025"], system="B1", males=3, females=2, began="2025-01-18", water_change_pct=25, temperature_c=24, gh_dh=6, spawned=True, spawned_at="2025-01-19", eggs=95, hatch_to="2025-01-23", **S)
    p.ac(["Corydoras aeneus", "B1", "60", "3", "2", "01-02-2025", "50%", "23,5", "6 °dH", "no", "", "", ""], system="B1", males=3, females=2, began="2025-02-01", water_change_pct=50, temperature_c=23.5, gh_dh=6, spawned=False, **S)
    p.ac(["Corydoras aeneus", "B2", "100", "4", "3", "15-02-2025", "80 L", "21,5", "5 °dH", "sí", "16-02-2025", "más de 100", "20-02-2025"], system="B2", males=4, females=3, began="2025-02-15", water_change_pct=80, temperature_c=21.5, gh_dh=5, spawned=True, spawned_at="2025-02-16", eggs=None, eggs_low=100, eggs_method="*", hatch_to="2025-02-20", **S)
    p.ac(["Corydoras aeneus", "B2", "100", "4", "3", "01-03-2025", "120 L", "22", "blanda", "sí", "30-02-2025", "60", "07-03-2025"], d="G:NUM:water_change_pct I:NUM:gh_dh K:DATE:spawned_at,laid_to", system="B2", males=4, females=3, began="2025-03-01", temperature_c=22, spawned=True, spawned_at=None, laid_to="*", eggs=60, hatch_to="2025-03-07", **S)
    return log


def us_killies_two_row():
    log, p = one("b3-us-killies", "A killifish keeper's workbook: two rows of headings, merged, dates as month/day text, eggs per pick, a running total column.", "Orville Tackett/picks.xlsx", "openpyxl", "2025 picks")
    p.row(["When", None, "What", None, "Eggs", None, None, None])
    p.sheet.merges += ["A1:B1", "C1:D1", "E1:H1"]
    p.head(["Date", "Time", "Species", "Tank", "Total", "Good", "Bad", "Running total"], "spawned_at", "spawned_at", "species", "system", "eggs", "fertile", "", "")
    S = dict(species="Fundulopanchax gardneri", system="K3", began="*")
    for w, t, tot, good, bad, run in [("2/15/2025", "8:30 PM", 14, 11, 3, 14), ("2/18/2025", "9:00 PM", 9, 9, 0, 23), ("2/21/2025", "8:45 PM", 0, 0, 0, 23), ("2/24/2025", "8:30 PM", 22, 17, 5, 45)]:
        x = dt.datetime.strptime(w, "%m/%d/%Y").date()
        v = dict(spawned=True, spawned_at=x, laid_to=x, eggs=tot, fertile=good) if tot else dict(spawned=False)
        p.ac([w, t, "Fundulopanchax gardneri", "K3", tot, good, bad, run], **S, **v)
    return log


def en_triggers_marks():
    log, p = one("b3-en-triggers", "Yes and no for many triggers, light hours, days of conditioning, level lowered, remarks; ticks and crosses.", "Perpetua Lyon/triggers.ods", "gnumeric-ods", "Sheet1")
    p.head(["Tank", "Species", "Set up on", "Conditioned (days)", "Light (h/day)", "Live food", "Leaf litter", "Rearranged", "Level lowered (cm)", "Flow increased", "Spawned", "Spawned on", "Eggs"], "system", "species", "began", "conditioning_days", "light_hours", "live_food", "leaf_litter", "rearranged", "level_change_cm", "flow", "spawned", "spawned_at", "eggs")
    rows = [(14, 12, "✓", "✗", "✗", 5, "✓", "✓", 60, ""), (7, 12, "✗", "✗", "✓", 0, "✗", "✗", None, ""), (21, 10, "✓", "✓", "✗", 8, "✓", "✓", 75, ""), ("2 weeks", 10, "✓", "✓", "✗", 8, "✓", "✗", None, "D:NUM:"), (14, "25", "✓", "✓", "x?", 8, "✓", "✓", 44, "E:NUM:light_hours H:YES:rearranged")]
    yes = {"✓": True, "✗": False}
    for i, (cond, light, live, leaf, rear, level, flow, sp, eggs, d) in enumerate(rows):
        began = D(2025, 1, 4) + dt.timedelta(days=15 * i)
        laid = began + dt.timedelta(days=3) if eggs else None
        v = dict(eggs=eggs) if eggs else {}
        p.ac(["P1", "Corydoras sterbai", began, cond, light, live, leaf, rear, level, flow, sp, laid, eggs], d if "D:" not in d else "", system="P1", species="Corydoras sterbai", began=began, conditioning_days=14 if cond == "2 weeks" else cond, light_hours=light if isinstance(light, int) else None, live_food=yes[live], leaf_litter=yes[leaf], rearranged=yes.get(rear), level_change_cm=-level, flow=yes[flow], spawned=yes[sp], spawned_at=laid, **v)
    return log


def tests_per_tank_across():
    log, p = one("b3-en-temps-across", "Temperatures by hand twice a day, a column for each tank, date and time apart.", "Gwilym Protheroe/temps.csv")
    p.row("Fish room temperatures")
    p.head(["Date", "Time", "Tank 1 (°C)", "Tank 2 (°C)", "Tank 3 (°C)"], "at", "at", "value", "value", "value")
    for w, t, xs in [("14/02/2025", "08:00", ("24.1", "22.0", "26.3")), ("14/02/2025", "20:00", ("24.6", "22.4", "26.6")), ("15/02/2025", "08:00", ("24.0", "2.19", "26.1")), ("15/02/2025", "20:00", ("24.5", "22.3", "-"))]:
        n = p.row([w, t] + list(xs), d="D:SENSOR:" if "2.19" in xs else "")
        at = dt.datetime.strptime(w + t, "%d/%m/%Y%H:%M")
        for k, x in enumerate(xs):
            if x == "2.19":
                p.read(n, at, "temperature_c", "*", system="2")  # 21.9 with its point in the wrong place, or not: unusual at the least
            elif x != "-":
                p.read(n, at, "temperature_c", float(x), system=str(k + 1))
    return log


def pairs_history():
    log, p = one("b3-en-pair-history", "One pair's history: no species column (the title says it), interval since the last spawn, eggs, cause of loss in a keeper's words.", "Hepzibah Stroud/pair 7.csv", always=dict(species="Pterophyllum scalare"))
    p.row("Pair 7: Pterophyllum scalare, tank 9")
    p.row("")
    p.head(["Spawn no", "Date of spawn", "Days since last", "Eggs", "Wrigglers", "Free swimmers", "Lost because", "Tank temp"], "", "spawned_at", "", "eggs", "hatched", "free_swimming", "loss", "temperature_c")
    p.ac(["1", "18 Mar 2024", "-", "280", "0", "0", "eaten by parents", "27"], system="*", spawned=True, spawned_at="2024-03-18", eggs=280, hatched=0, free_swimming=0, loss="eaten by parents", temperature_c=27)
    p.ac(["2", "30 Mar 2024", "12", "310", "150", "90", "", "27.5"], system="*", spawned=True, spawned_at="2024-03-30", eggs=310, hatched=150, free_swimming=90, temperature_c=27.5)
    p.ac(["3", "14 Apr 2024", "15", "300", "200", "250", "", "27"], d="F:NUM:", system="*", spawned=True, spawned_at="2024-04-14", eggs=300, hatched="*", free_swimming="*", temperature_c=27)
    p.ac(["4", "29 Apr 2024", "15", "tons", "dozens", "60", "", "27"], d="D:NUM:eggs E:NUM:hatched", system="*", spawned=True, spawned_at="2024-04-29", free_swimming=60, temperature_c=27)
    return log


def messy_export():
    log, p = one("b3-en-messy", "A CSV with everything at once: title, blank columns, repeated headings, a subtotal, short rows, quotes, text after a number.", "Thaddeus Quill/messy.csv", eol="\r\n")
    p.row("My breeding log,,,,,,,")
    p.row(",,,,,,,")
    head = ["Tank", "", "Species", "Set up", "Spawned", "Spawn date", "Eggs", "Temp (°C)"]
    told = ["system", "", "species", "began", "spawned", "spawned_at", "eggs", "temperature_c"]
    p.head(head, *told)
    p.ac(["A", "", "Danio rerio", "2024-03-13", "yes", "2024-03-14", "150", "26"], system="A", species="Danio rerio", began="2024-03-13", spawned=True, spawned_at="2024-03-14", eggs=150, temperature_c=26)
    p.ac(["B", "", "Danio rerio", "2024-03-13", "no"], system="B", species="Danio rerio", began="2024-03-13", spawned=False)
    p.row(["Subtotal", "", "", "", "", "", "150", ""])
    p.row([])
    p.row(head)
    p.ac(["A", "", "Danio rerio", "2024-04-01", "yes", "2024-04-02", "130 eggs", "26.5 C"], system="A", species="Danio rerio", began="2024-04-01", spawned=True, spawned_at="2024-04-02", eggs=130, temperature_c=26.5)
    p.ac(["B", "", "Danio rerio", "2024-04-01", "yes", "2024-03-30", "90", "26"], d="F:DATE:", system="B", species="Danio rerio", began="*", spawned=True, spawned_at="*", laid_to="*", eggs=90, temperature_c=26)
    p.ac(["B", "", "Danio rerio", "2024-04-15", "yes", "2024-04-16", "110", "79F"], system="B", species="Danio rerio", began="2024-04-15", spawned=True, spawned_at="2024-04-16", eggs=110, temperature_c=F(79))
    p.ac(["A", "", "Danio rerio", "2042-04-15", "yes", "2024-04-17", "80", "26"], d="D:DATE:began", system="A", species="Danio rerio", began=None, spawned=True, spawned_at="2024-04-17", eggs=80, temperature_c=26)
    return log


def diary_table_de():
    log, p = one("b3-de-tagebuch-tabelle", "Tagebuch in einer Tabelle mit Spalten für Messwerte: Datum, Becken, Temperatur, pH, Vorkommnis.", "Alwin Petersilie/tagebuch.csv", "text", delim=";")
    p.head(["Datum", "Becken", "Temp. °C", "pH", "Vorkommnis"], "at began laid_to hatch_to swim_to", "system", "value", "value", "species eggs")
    S = dict(system="2", species="Corydoras paleatus")
    a = p.row(["18.01.2025", "2", "22,5", "7,1", "angesetzt 3/2 Corydoras paleatus"])
    p.begins(a, began="2025-01-18", spawned=True, spawned_at="2025-01-22", males=3, females=2, temperature_c="*", **S)
    p.read(a, "2025-01-18", "temperature_c", 22.5, system="2")
    p.read(a, "2025-01-18", "ph", 7.1, system="2")
    n = p.row(["21.01.2025", "2", "19,5", "", "Wasserwechsel 60 %, 4 °C kälter"])
    p.read(n, "2025-01-21", "temperature_c", 19.5, system="2")
    p.act(n, "2025-01-21", "water_change", 60, "%", system="2")
    n = p.row(["22.01.2025", "2", "21", "7,0", "Eier an der Scheibe, 70 Stück"])
    p.read(n, "2025-01-22", "temperature_c", 21, system="2")
    p.read(n, "2025-01-22", "ph", 7.0, system="2")
    p.clutch(n, a, laid_to="2025-01-22", eggs=70, hatch_to="2025-01-27", swim_to="2025-01-29", **S)
    n = p.row(["27.01.2025", "2", "22", "", "geschlüpft, etwa 50 Larven"])
    p.read(n, "2025-01-27", "temperature_c", 22, system="2")
    n = p.row(["29.01.2025", "2", "lau", "", "schwimmen frei"], d="C:NUM:value")
    log.expected["clutches"][-1]["hatched"] = "*"
    return log


LOGS = [au_gudgeons, de_vereinsbogen, fr_journal_texte, es_tabla, us_killies_two_row, en_triggers_marks, tests_per_tank_across, pairs_history, messy_export, diary_table_de]
