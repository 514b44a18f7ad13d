"""Blind logs, second set: written after the first was mended, with the expected tables fixed before the program read them."""

import datetime as dt

from byhand import *

D = lambda *x: dt.date(*x)
F = lambda f: (f - 32) / 1.8
# One French degree is 10 mg/L of CaCO3, one German degree 10 mg/L of CaO; molar masses 100.0869 and 56.0774 g/mol.
FRENCH = 56.0774 / 100.0869


def us_cool_changes():
    log, p = one("b2-us-cool-changes", "An American's workbook on triggers: temperature drop and refill in Fahrenheit, pressure change in inches of mercury, yes and no for live food, remarks behind values.", "Lyle Abernathy/triggers.xlsx", "openpyxl", "Cory log")
    p.row(["Cory trigger log - basement fish room"])
    p.row([])
    p.head(["Tank", "Species", "Start Date", "Water Temp (F)", "WC %", "Temp drop (F)", "Baro change 24h (inHg)", "Live foods?", "Spawn?", "Date Spawned", "Egg Count", "Comments"], "system", "species", "began", "temperature_c", "water_change_pct", "refill_delta_c", "pressure_change_hpa", "live_food", "spawned", "spawned_at", "eggs", "notes")
    S = dict(species="Corydoras sterbai")
    p.ac(["C1", "Corydoras sterbai", D(2025, 1, 18), 77, 50, 7, -0.35, "Y", "Y", D(2025, 1, 19), 62, "front blew through"], system="C1", began="2025-01-18", temperature_c=25, water_change_pct=50, refill_delta_c="*", pressure_change_hpa=-0.35 * 33.8638866667, live_food=True, spawned=True, spawned_at="2025-01-19", eggs=62, notes="front blew through", **S)
    p.ac(["C2", "Corydoras sterbai", D(2025, 1, 18), 77, 50, 7, -0.35, "N", "N", None, None, None], system="C2", began="2025-01-18", temperature_c=25, water_change_pct=50, refill_delta_c="*", pressure_change_hpa=-0.35 * 33.8638866667, live_food=False, spawned=False, **S)
    p.ac(["C1", "Corydoras sterbai", D(2025, 2, 8), "78 (heater stuck)", 25, 0, 0.1, "Y", "N - females not ripe", None, None, None], system="C1", began="2025-02-08", temperature_c=F(78), water_change_pct=25, refill_delta_c="*", pressure_change_hpa=0.1 * 33.8638866667, live_food=True, spawned=False, **S)
    p.ac(["C2", "Corydoras sterbai", D(2025, 2, 22), 76, "two thirds", 9, -3.5, "Y", "Y", D(2025, 2, 24), "40+", None], d="G:NUM:pressure_change_hpa", system="C2", began="2025-02-22", temperature_c=F(76), water_change_pct="*", refill_delta_c="*", pressure_change_hpa=None, live_food=True, spawned=True, spawned_at="2025-02-24", eggs=None, eggs_low=40, eggs_method="*", **S)
    p.ac(["C1", "Corydoras sterbai", D(2025, 3, 15), 76.5, 50, 8, -0.22, "frozen only", "Y", D(2025, 3, 16), 55, None], d="H:YES:live_food", system="C1", began="2025-03-15", temperature_c=F(76.5), water_change_pct=50, refill_delta_c="*", pressure_change_hpa=-0.22 * 33.8638866667, live_food=None, spawned=True, spawned_at="2025-03-16", eggs=55, **S)
    return log


def fr_tableau_groupes():
    log, p = one("b2-fr-tableau-groupes", "Un classeur français: groupes fusionnés (Bac, Eau, Ponte), ligne d'unités, virgules en texte, dureté en degrés français.", "Solenn Le Dantec/reproduction.ods", "libreoffice-ods", "Saison")
    p.row(["Reproductions saison 2024-2025"])
    p.row(["Bac", None, None, None, "Eau", None, None, None, "Ponte", None, None, None])
    p.sheet.merges += ["A2:D2", "E2:H2", "I2:L2"]
    p.head(["N°", "Espèce", "Mâles", "Femelles", "Température", "pH", "TH", "Conductivité", "Date de mise en place", "Pondu", "Date", "Nombre d'œufs"], "system", "species", "males", "females", "temperature_c", "ph", "gh_dh", "conductivity_us_cm", "began", "spawned", "spawned_at", "eggs")
    p.row([None, None, None, None, "°C", None, "°f", "µS/cm", None, "o/n", None, None])
    p.ac(["3", "Corydoras paleatus", 3, 2, "21,5", "7,2", 14, 420, D(2024, 10, 19), "o", D(2024, 10, 21), 75], system="3", species="Corydoras paleatus", males=3, females=2, temperature_c=21.5, ph=7.2, gh_dh=14 * FRENCH, conductivity_us_cm=420, began="2024-10-19", spawned=True, spawned_at="2024-10-21", eggs=75)
    p.ac(["3", "Corydoras paleatus", 3, 2, "21", "7,2", 14, 415, D(2024, 11, 9), "n", None, None], system="3", species="Corydoras paleatus", males=3, females=2, temperature_c=21, ph=7.2, gh_dh=14 * FRENCH, conductivity_us_cm=415, began="2024-11-09", spawned=False)
    p.ac(["8", "Hyphessobrycon amandae", 2, 4, "26", "5,6", 2, 60, D(2024, 12, 1), "o", D(2024, 12, 3), "une quinzaine"], d="L:NUM:eggs", system="8", species="Hyphessobrycon amandae", males=2, females=4, temperature_c=26, ph=5.6, gh_dh=2 * FRENCH, conductivity_us_cm=60, began="2024-12-01", spawned=True, spawned_at="2024-12-03", eggs=None)
    p.ac(["8", "Hyphessobrycon amandae", 2, "4 ou 5", "26", "5,6", 2, 65, D(2025, 1, 12), "n", None, None], d="D:NUM:females", system="8", species="Hyphessobrycon amandae", males=2, females=None, temperature_c=26, ph=5.6, gh_dh=2 * FRENCH, conductivity_us_cm=65, began="2025-01-12", spawned=False)
    p.row(["Moyenne", None, None, None, 23.625, None, None, None, None, None, None, None])
    return log


def de_ohne_jahr():
    log, p = one("b2-de-blatt-2024", "Ein Blatt je Jahr: Tage ohne Jahr (12.3.), der Blattname nennt es; Kürzel für Arten; Strich für nein.", "Hinnerk Paulsen/Laichbuch.xlsx", "gnumeric-xlsx", "2024")
    p.head(["Becken", "Art", "angesetzt", "Ergebnis", "gelaicht am", "Eier ca.", "Schlupf", "Temperatur °C"], "system", "species", "began", "", "spawned_at", "eggs", "hatch_to", "temperature_c")
    p.ac(["1", "Corydoras panda", "12.3.", "abgelaicht", "15.3.", 40, "19.3.", 22], system="1", species="Corydoras panda", began="2024-03-12", spawned=True, spawned_at="2024-03-15", eggs=40, eggs_method="*", hatch_to="2024-03-19", temperature_c=22)
    p.a(["1", "C. panda", "2.4.", "nichts", None, None, None, 22.5], system="1", species="Corydoras panda", began="2024-04-02", spawned="*", temperature_c=22.5)
    p.ac(["2", "Danio rerio", "20.4.", "abgelaicht", "21.4.", 200, "24.4.", 26], system="2", species="Danio rerio", began="2024-04-20", spawned=True, spawned_at="2024-04-21", eggs=200, eggs_method="*", hatch_to="2024-04-24", temperature_c=26)
    p.ac(["2", "D. rerio", "31.4.", "abgelaicht", "3.5.", 150, "6.5.", 26], d="C:DATE:began", system="2", species="Danio rerio", began=None, spawned=True, spawned_at="2024-05-03", eggs=150, eggs_method="*", hatch_to="2024-05-06", temperature_c=26)
    return log


def en_batches():
    log, p = one("b2-en-batch-record", "A breeder's batch record: batch numbers, eggs laid, fertile and hatched counts, shares, survivors at thirty days.", "Rosalind Pickersgill/batches.csv")
    p.head(["Batch #", "Species", "Tank", "Laid on", "No. laid", "No. fertile", "No. hatched", "Hatch %", "Hatched on", "Swim-up", "Alive at 30 d", "Remarks"], "", "species", "system", "spawned_at", "eggs", "fertile", "hatched", "", "hatch_to", "swim_to free_swimming", "", "notes")
    S = dict(species="Pterophyllum scalare", spawned=True)
    p.ac(["101", "Pterophyllum scalare", "AF1", "14 Jan 2025", "412", "380", "301", "73%", "16 Jan 2025", "21 Jan 2025", "150", "slate"], system="AF1", spawned_at="2025-01-14", eggs=412, fertile=380, hatched=301, hatch_to="2025-01-16", swim_to="2025-01-21", notes="slate", **S)
    p.ac(["102", "Pterophyllum scalare", "AF2", "20 Jan 2025", "388", "12", "0", "0%", "", "", "", "male too young"], system="AF2", spawned_at="2025-01-20", eggs=388, fertile=12, hatched=0, notes="male too young", **S)
    p.ac(["103", "Pterophyllum scalare", "AF1", "3 Feb 2025", "c. 400", "350ish", "290", "73%", "5 Feb 2025", "10 Feb 2025", "n/k", ""], system="AF1", spawned_at="2025-02-03", eggs=400, eggs_method="estimated", fertile="*", hatched=290, hatch_to="2025-02-05", swim_to="2025-02-10", **S)
    p.ac(["104", "Pterophyllum scalare", "AF2", "11 Feb 2025", "395", "371", "402", "", "13 Feb 2025", "18 Feb 2025", "", ""], d="G:NUM:", system="AF2", spawned_at="2025-02-11", eggs="*", fertile=371, hatched="*", hatch_to="2025-02-13", swim_to="2025-02-18", **S)
    p.ac(["105", "Pterophyllum scalare", "AF1", "24 Feb 2025", "see photo", "", "280", "", "22 Feb 2025", "", "", ""], d="E:NUM:eggs I:DATE:", system="AF1", spawned_at="*", laid_to="*", hatched=280, hatch_to="*", **S)
    return log


def es_logger():
    log, p = one("b2-es-registrador", "Exportación de un registrador inventado: fecha y hora en columnas, presión en mbar, coma decimal, líneas de error.", "Gumersindo Arce/estacion.csv", delim=";", encoding="cp1252", eol="\r\n")
    p.row("Estación: MeteoCasa 3")
    p.row("Lugar: Oviedo")
    p.head(["Fecha", "Hora", "Presión (mbar)", "Temp. interior (°C)", "Temp. acuario (°C)"], "at", "at", "value", "value", "value")
    for w, h, pr, ti, ta in [("14/11/2024", "00:00", "1009,2", "19,5", "24,8"), ("14/11/2024", "06:00", "1005,8", "19,1", "24,7"), ("14/11/2024", "12:00", "1001,1", "20,3", "24,9"), ("14/11/2024", "18:00", "ERROR", "20,8", "25,0"), ("15/11/2024", "00:00", "998,7", "20,1", "85,0"), ("15/11/2024", "06:00", "1000,4", "19,4", "24,6")]:
        n = p.row([w, h, pr, ti, ta], d="E:SENSOR:value" if ta == "85,0" else "")
        at = dt.datetime.strptime(w + h, "%d/%m/%Y%H:%M")
        f = lambda x: float(x.replace(",", "."))
        if pr != "ERROR":
            p.read(n, at, "air_pressure_hpa", f(pr), system="*")
        p.read(n, at, "room_temperature_c", f(ti), system="*")
        if ta != "85,0":
            p.read(n, at, "temperature_c", f(ta), system="*")
    return log


def us_notebook():
    log, p = one("b2-us-notebook", "An American's notebook as a text file, month/day/year, loose wording, two attempts with one pair.", "Dwayne Furlong/betta notes.txt", "text", always=dict(system="*", species="Betta splendens"))
    p.row("Betta splendens spawning notes, tank 14")
    p.row("")
    a = p.row("1/25/2025 - put the pair together, water at 80 F")
    p.begins(a, began="2025-01-25", spawned=True, spawned_at="2025-01-27", males="*", females="*", temperature_c="*")
    p.read(a, "2025-01-25", "temperature_c", F(80))
    p.row("1/26/2025 - bubble nest, no eggs yet")
    n = p.row("1/27/2025 - spawned this afternoon, around 200 eggs in the nest")
    p.clutch(n, a, laid_to="2025-01-27", eggs=200, eggs_method="estimated", hatch_to="2025-01-29", swim_to="2025-02-01")
    p.row("1/29/2025 - hatched")
    p.row("2/1/2025 - fry free swimming")
    b = p.row("2/22/2025 - put the pair together again")
    p.begins(b, began="2025-02-22", spawned=False, ended="2025-02-27", males="*", females="*", temperature_c="*")
    n = p.row("2/24/2025 - did a 30% water change")
    p.act(n, "2025-02-24", "water_change", 30, "%")
    n = p.row("2/25/2025 - think I saw eggs but not sure")
    p.sheet.doubt(n, "", CODES["ENTRY"])
    p.row("2/27/2025 - gave up, took the female out")
    return log


def de_mehrere_becken():
    log, p = one("b2-de-eier-je-becken", "Eierzählung mit einer Spalte je Becken: Datum links, Zahlen darunter, 0 heißt nachgesehen und nichts.", "Wiebke Ahlers/Eier.csv", delim=";")
    p.row("Art: Danio rerio")
    p.row("gesammelte Eier je Becken")
    p.head(["Datum", "Becken 1", "Becken 2", "Becken 3"], "spawned_at", "eggs", "eggs", "eggs")
    S = dict(species="Danio rerio", began="*")
    for w, counts in [("14.10.2024", (88, 0, 120)), ("15.10.2024", (0, 64, 95)), ("16.10.2024", (71, 0, "viele"))]:
        n = p.row([w] + list(counts), d="D:NUM:eggs" if counts[2] == "viele" else "")
        iso = "2024-10-" + w[:2]
        for k, c in enumerate(counts):
            if isinstance(c, int):
                p.sheet.expect("attempts", n, system=str(k + 1), species="Danio rerio", species_as_written="*", notes="*", began="*", ended="*", spawned=c > 0, spawned_at=iso if c else None)
                if c:
                    p.sheet.expect("clutches", n, system=str(k + 1), species="Danio rerio", laid_to=iso, eggs=c, eggs_method="counted", attempt="*")
    return log


def numbers_and_marks():
    log, p = one("b2-en-numbers", "A careful counter who writes counts in every way: ranges, plus and minus, thousands with a comma, sums, a count over a date.", "Eudora Blythe/counts.csv", delim="\t")
    p.head(["Tank", "Species", "Set-up", "Spawned on", "Eggs (n)", "Hatched (n)", "Temp/°C"], "system", "species", "began", "spawned_at", "eggs", "hatched", "temperature_c")
    rows = [("1,240", dict(eggs=1240), ""), ("850", dict(eggs=850), ""), ("100 - 150", dict(eggs=125, eggs_low=100, eggs_high=150, eggs_method="estimated"), ""), ("~90", dict(eggs=90, eggs_method="estimated"), ""), ("80 + 45", dict(), "E:NUM:eggs"), ("2 x 60", dict(), "E:NUM:eggs"), ("under 50", dict(eggs_high=50, eggs_method="*"), ""), ("1,050", dict(eggs=1050), ""), ("60/75", dict(), "E:NUM:eggs"), ("120 eggs", dict(eggs=120), ""), ("200 (photo)", dict(eggs=200, eggs_method="*"), ""), ("60 or so", dict(eggs=60, eggs_method="estimated"), "")]
    for i, (w, v, d) in enumerate(rows):
        began = D(2025, 3, 1) + dt.timedelta(days=5 * i)
        laid = began + dt.timedelta(days=1)
        p.ac(["N1", "Danio rerio", began.strftime("%d-%b-%y"), laid.strftime("%d-%b-%y"), w, str(10 + i), "25.5"], d=d, system="N1", species="Danio rerio", began=began, spawned=True, spawned_at=laid, hatched=10 + i if i != 6 else 16, temperature_c=25.5, **v)
    return log


def remarks_in_answers():
    log, p = one("b2-en-answers-with-remarks", "A keeper who answers in sentences: yes - two clutches; no, too cold; not yet; not sure; yes but all fungused.", "Ignatius Mayhew/answers.xlsx", "excelize", "attempts")
    p.head(["Tank", "Species", "Put together on", "Did they spawn?", "Spawn date", "Eggs", "What happened"], "system", "species", "began", "spawned loss", "spawned_at", "eggs", "notes")
    base = dict(species="Apistogramma cacatuoides")
    rows = [("yes", D(2025, 2, 6), 60, True, ""), ("no, too cold", None, None, False, ""), ("not yet", None, None, None, ""), ("Yes - in the cave", D(2025, 3, 6), 45, True, ""), ("not sure", None, None, None, "D:YES:spawned"), ("yes but all fungused", D(2025, 4, 6), 50, True, ""), ("nope", None, None, "*", ""), ("maybe", None, None, None, "D:YES:spawned")]
    for i, (w, laid, eggs, y, d) in enumerate(rows):
        began = D(2025, 2, 1) + dt.timedelta(days=14 * i)
        laid = began + dt.timedelta(days=4) if laid else None
        v = dict(eggs=eggs) if eggs else {}
        if "fungus" in w:
            v["loss"] = "*"
        p.ac(["X" + str(i % 2 + 1), "Apistogramma cacatuoides", began, w, laid, eggs, "-"], d=d, system="X" + str(i % 2 + 1), began=began, spawned=y, spawned_at=laid, **base, **v)
    return log


def two_side_by_side():
    log = Log("b2-two-tanks-side-by-side", "Two tables side by side on a sheet, one a tank, each with its name above, an empty column between.")
    f = log.file("Benedikt Strobel/nebeneinander.xlsx", "libreoffice-xlsx")
    s = f.sheet("Zucht")
    s.put("Becken 1", None, None, None, None, None, "Becken 2")
    n = s.put("Art", "Ansatz am", "abgelaicht", "Laichdatum", "Eier", None, "Art", "Ansatz am", "abgelaicht", "Laichdatum", "Eier")
    s.columns(n, [("", fields(x)) for x in ("species", "began", "spawned", "spawned_at", "eggs", "", "species", "began", "spawned", "spawned_at", "eggs")])
    left = [("Danio rerio", D(2024, 9, 14), "ja", D(2024, 9, 15), 120), ("Danio rerio", D(2024, 9, 28), "nein", None, None), ("Danio rerio", D(2024, 10, 13), "ja", D(2024, 10, 14), 99)]
    right = [("Corydoras panda", D(2024, 9, 21), "ja", D(2024, 9, 24), 33), ("Corydoras panda", D(2024, 10, 5), "ja", D(2024, 10, 9), 28), ("Corydoras panda", D(2024, 10, 19), "nein", None, None)]
    for a, b in zip(left, right):
        n = s.put(*a, None, *b)
        for tank, x in (("*", a), ("*", b)):
            s.expect("attempts", n, system=tank, species=x[0], species_as_written="*", notes="*", ended="*", began=x[1], spawned=x[2] == "ja", spawned_at=x[3])
            if x[3]:
                s.expect("clutches", n, system=tank, species=x[0], laid_to=x[3], eggs=x[4], eggs_method="counted", attempt="*")
    return log


def water_log_en():
    log, p = one("b2-en-water-log", "A water log by tank, twice a week: conductivity in mS, TDS, hardness with its unit in the cell, blanks, a note in a cell.", "Morwenna Tregear/water.xlsx", "openpyxl", "Water")
    p.head(["Date", "Tank", "Temp C", "pH", "EC (mS/cm)", "TDS ppm", "KH", "NO3 mg/L", "Note"], "at", "system", "value", "value", "value", "", "value", "value", "")
    rows = [(D(2025, 1, 14), "M1", 24.5, 6.8, 0.21, 105, "3 dKH", 10, None), (D(2025, 1, 17), "M1", 24.4, 6.8, 0.22, 110, "3 dKH", 12.5, "filter cleaned"), (D(2025, 1, 14), "M2", 22.1, 7.2, 0.41, 205, "6 dKH", 20, None), (D(2025, 1, 17), "M2", "22,3", 7.2, 0.42, 208, "6 dKH", None, None), (D(2025, 1, 21), "M2", 22.4, "7.2 (new probe)", 0.43, 214, "6 dKH", "pink", None)]
    for w, tank, t, ph, ec, tds, kh, no3, note in rows:
        n = p.row([w, tank, t, ph, ec, tds, kh, no3, note], d="H:NUM:value" if no3 == "pink" else "")
        p.read(n, w, "temperature_c", 22.3 if t == "22,3" else t, system=tank)
        p.read(n, w, "ph", 7.2 if isinstance(ph, str) else ph, system=tank)
        p.read(n, w, "conductivity_us_cm", ec * 1000, system=tank)
        p.read(n, w, "kh_dh", float(kh[0]), system=tank)
        if isinstance(no3, (int, float)):
            p.read(n, w, "nitrate_mg_l", no3, system=tank)
    return log


def killi_es():
    log, p = one("b2-es-killis", "Puestas de killis anotadas por fecha de recogida, con huevos viables y malos, meses en letra y total al pie.", "Casilda Arrieta/killis.csv", delim=";", encoding="mac-roman", eol="\r")
    p.row("Especie: Aphyosemion australe")
    p.row("Acuario: K7")
    p.head(["Fecha recogida", "Huevos", "Viables", "Hongos", "Tª", "Observaciones"], "spawned_at", "eggs", "fertile", "", "temperature_c", "notes")
    S = dict(system="K7", species="Aphyosemion australe", began="*")
    p.ac(["3 ene 2025", "12", "10", "2", "22", "mopa nueva"], spawned=True, spawned_at="2025-01-03", eggs=12, fertile=10, temperature_c=22, notes="mopa nueva", **S)
    p.ac(["6 ene 2025", "0", "0", "0", "21,5", ""], spawned=False, temperature_c=21.5, **S)
    p.ac(["9 ene 2025", "17", "15", "2", "22", ""], spawned=True, spawned_at="2025-01-09", eggs=17, fertile=15, temperature_c=22, **S)
    p.ac(["12 ene 2025", "bastantes", "", "", "22", "sin contar"], d="B:NUM:eggs", spawned="*", spawned_at="*", temperature_c=22, notes="sin contar", clutch=False, **S)
    p.ac(["15 ene 2025", "9", "9", "0", "2l", ""], d="E:NUM:temperature_c", spawned=True, spawned_at="2025-01-15", eggs=9, fertile=9, **S)
    p.row(["Total", "38", "34", "4", "", ""])
    return log


def epoch_logger():
    log, p = one("b2-logger-iso-offset", "Logger output with an offset in every time stamp over the change of clocks, and the tank in its heading.", "Svetlana Dimitrova/probe.csv")
    p.row("# probe 7, firmware 1.4")
    p.head(["time", "tank_temp_c", "ph"], "at", "value", "value")
    utc = dt.datetime(2024, 10, 26, 22, 30)
    for i in range(8):
        at = utc + dt.timedelta(hours=i)
        off = 2 if at < dt.datetime(2024, 10, 27, 1) else 1
        local = at + dt.timedelta(hours=off)
        n = p.row([local.strftime("%Y-%m-%dT%H:%M:%S") + "+0%d:00" % off, "%.2f" % (24.1 + i / 10), "6.9%d" % i])
        # The hour that comes twice cannot be written as a local time: the day is compared.
        when = local if local.hour != 2 else "2024-10-27"
        p.read(n, when, "temperature_c", round(24.1 + i / 10, 2), system="*")
        p.read(n, when, "ph", 6.9 + i / 100, system="*")
    return log


def hand_over_book():
    log = Log("b2-en-book-by-tank", "A workbook with a sheet for each tank, the species in a title line, a header that says When, a sheet of addresses, hidden columns, TRUE and FALSE.")
    f = log.file("Cressida Wynne/fishroom.xlsx", "openpyxl")
    a = Page(f.sheet("Tank 1"), species="Corydoras aeneus", system="1")
    a.row(["Species:", "Corydoras aeneus"])
    a.row([])
    a.head(["Set up", "Temp (°C)", "Cool WC", "Spawned", "When", "How many eggs"], "began", "temperature_c", "", "spawned", "spawned_at", "eggs")
    a.ac([D(2025, 1, 4), 24, True, True, D(2025, 1, 5), 110], began="2025-01-04", temperature_c=24, spawned=True, spawned_at="2025-01-05", eggs=110, refill_delta_c="*", water_change_pct="*")
    a.ac([D(2025, 1, 18), 24.5, False, False, None, None], began="2025-01-18", temperature_c=24.5, spawned=False, refill_delta_c="*", water_change_pct="*")
    a.ac([D(2025, 2, 1), 23.5, True, True, D(2025, 2, 3), "loads"], d="F:NUM:eggs", began="2025-02-01", temperature_c=23.5, spawned=True, spawned_at="2025-02-03", refill_delta_c="*", water_change_pct="*")
    b = Page(f.sheet("Tank 2"), species="Danio rerio", system="2")
    b.row(["Species:", "Danio rerio"])
    b.row([])
    b.head(["Set up", "Males", "Females", "Spawned", "Date", "Eggs", "Hatched"], "began", "males", "females", "spawned", "spawned_at", "eggs", "hatched hatch_to")
    b.ac([D(2025, 1, 11), 2, 3, "Y", D(2025, 1, 12), 140, 101], began="2025-01-11", males=2, females=3, spawned=True, spawned_at="2025-01-12", eggs=140, hatched=101)
    b.ac([D(2025, 1, 25), 2, 3, "N", None, None, None], began="2025-01-25", males=2, females=3, spawned=False)
    c = f.sheet("Contacts")
    c.put("Name", "Town")
    c.put("Hilary", "Bath")
    return log


LOGS = [us_cool_changes, fr_tableau_groupes, de_ohne_jahr, en_batches, es_logger, us_notebook, de_mehrere_becken, numbers_and_marks, remarks_in_answers, two_side_by_side, water_log_en, killi_es, epoch_logger, hand_over_book]
