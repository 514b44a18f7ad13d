"""Blind logs, first set, second part: diaries, collection sheets, loggers, several tables. The expected tables were fixed before the program read the logs."""

import datetime as dt

from byhand import *

D = lambda *x: dt.date(*x)


def diary_bare_en():
    log, p = one("b1-diary-bare-en", "A notebook typed into a text file: a tank and a species on top, then a date and words a line, no headings.", "Orla Finnegan/notebook.txt", "text", always=dict(system="*", species="Corydoras sterbai"))
    p.row("Tank 3 - Corydoras sterbai (3 males, 2 females)")
    p.row("")
    a = p.row("12 Jan 2025 - set up the group, 24.5 C")
    p.begins(a, began="2025-01-12", spawned=True, spawned_at="2025-01-19", males="*", females="*", temperature_c="*")
    p.read(a, "2025-01-12", "temperature_c", 24.5)
    n = p.row("15 Jan 2025 - no eggs yet, fed live blackworms")
    p.act(n, "2025-01-15", "feed_live")
    n = p.row("18 Jan 2025 - 50% water change with cold water")
    p.act(n, "2025-01-18", "water_change", 50, "%")
    n = p.row("19 Jan 2025 - eggs all over the glass this morning, counted 63")
    p.clutch(n, a, laid_to="2025-01-19", eggs=63, hatch_to="2025-01-24", swim_to="2025-01-27")
    p.row("22 Jan 2025 - about a dozen eggs white")
    p.row("24 Jan 2025 - hatching!")
    p.row("27 Jan 2025 - free swimming and eating baby brine")
    b = p.row("8 Feb 2025 - set up again with the same group")
    p.begins(b, began="2025-02-08", spawned=False, ended="2025-02-22", males="*", females="*", temperature_c="*")
    n = p.row("9 Feb 2025 - wondering whether they will spawn")
    p.sheet.doubt(n, "", CODES["ENTRY"])
    p.row("22 Feb 2025 - gave up, moved them back to the community tank")
    return log


def diary_bare_de():
    log, p = one("b1-diary-bare-de", "Ein Zuchttagebuch als Textdatei (CP1252): Datum, Doppelpunkt, Stichworte; zwei Ansätze.", "Ansgar Tiedemann/tagebuch.txt", "text", encoding="cp1252", eol="\r\n", always=dict(system="*", species="Danio rerio"))
    p.row("Becken 5")
    p.row("Danio rerio")
    p.row("")
    a = p.row("03.03.2025: angesetzt 2/3, Temperatur 26 °C")
    p.begins(a, began="2025-03-03", spawned=True, spawned_at="2025-03-04", males="*", females="*", temperature_c="*")
    p.read(a, "2025-03-03", "temperature_c", 26)
    n = p.row("04.03.2025: abgelaicht, ca. 150 Eier")
    p.clutch(n, a, laid_to="2025-03-04", eggs=150, eggs_method="estimated", hatch_to="2025-03-06", swim_to="2025-03-10")
    p.row("06.03.2025: geschlüpft")
    p.row("10.03.2025: schwimmen frei")
    b = p.row("22.03.2025: neuer Ansatz, 2/2")
    p.begins(b, began="2025-03-22", spawned=True, spawned_at="2025-03-24", males="*", females="*", temperature_c="*")
    n = p.row("23.03.2025: Wasserwechsel 30 %, pH 7,2")
    p.act(n, "2025-03-23", "water_change", 30, "%")
    p.read(n, "2025-03-23", "ph", 7.2)
    n = p.row("24.03.2025: Eier am Boden, gezählt 88")
    p.clutch(n, b, laid_to="2025-03-24", eggs=88, loss="fungus", lost_at="2025-03-26")
    p.row("26.03.2025: alle Eier verpilzt")
    n = p.row("31.03.2025: vielleicht Eier?")
    p.sheet.doubt(n, "", CODES["ENTRY"])
    return log


def diary_fr():
    log, p = one("b1-diary-table-fr", "Un carnet en tableau: date, bac, ce qui s'est passé; l'espèce n'est dite qu'à la mise en place.", "Gwenaël Tanguy/carnet 2024.csv", "text", delim=";")
    p.head(["Date", "Bac", "Événement"], "at began laid_to hatch_to swim_to", "system", "species eggs")
    a = p.row(["12/04/2024", "n°4", "mise en place 1.1 Pelvicachromis pulcher"])
    p.begins(a, system="n°4", species="Pelvicachromis pulcher", began="2024-04-12", males=1, females=1, spawned=True, spawned_at="2024-04-16", temperature_c="*")
    n = p.row(["14/04/2024", "n°4", "25,5 °C ; pH 6,4"])
    p.read(n, "2024-04-14", "temperature_c", 25.5, system="n°4")
    p.read(n, "2024-04-14", "ph", 6.4, system="n°4")
    n = p.row(["16/04/2024", "n°4", "ponte dans la grotte, environ 90 œufs"])
    p.clutch(n, a, system="n°4", species="Pelvicachromis pulcher", laid_to="2024-04-16", eggs=90, eggs_method="estimated", hatch_to="2024-04-19", swim_to="2024-04-24")
    p.row(["19/04/2024", "n°4", "éclosion"])
    p.row(["24/04/2024", "n°4", "nage libre"])
    b = p.row(["04/05/2024", "n°6", "mise en place 2.3 Corydoras paleatus"])
    p.begins(b, system="n°6", species="Corydoras paleatus", began="2024-05-04", males=2, females=3, spawned=False, ended="2024-05-19", temperature_c="*")
    n = p.row(["06/05/2024", "n°6", "changement d'eau 40 %"])
    p.act(n, "2024-05-06", "water_change", 40, "%", system="n°6")
    p.row(["11/05/2024", "n°6", "toujours rien"])
    p.row(["19/05/2024", "n°6", "abandon, poissons séparés"])
    c = p.row(["25/05/2024", "n°6", "mise en place 2.2 Corydoras paleatus"])
    p.begins(c, system="n°6", species="Corydoras paleatus", began="2024-05-25", males=2, females=2, spawned=True, spawned_at="2024-05-28", temperature_c="*")
    n = p.row(["28/05/2024", "n°6", "œufs sur la vitre, 64 comptés"])
    p.clutch(n, c, system="n°6", species="Corydoras paleatus", laid_to="2024-05-28", eggs=64, loss="eaten by parents", lost_at="2024-05-29")
    p.row(["29/05/2024", "n°6", "tous les œufs mangés par les parents"])
    return log


def diary_es():
    log, p = one("b1-diary-table-es", "Un diario en hoja de cálculo: fecha real, acuario, especie y suceso.", "Leocadia Urrutia/diario.xlsx", "openpyxl", "Hoja1")
    p.head(["Fecha", "Acuario", "Especie", "Qué pasó"], "at began laid_to hatch_to swim_to", "system", "species", "eggs")
    S = dict(system="2", species="Trichogaster lalius")
    a = p.row([D(2025, 5, 3), "2", "Trichogaster lalius", "montaje, pareja"])
    p.begins(a, began="2025-05-03", spawned=True, spawned_at="2025-05-07", males="*", females="*", temperature_c="*", **S)
    n = p.row([D(2025, 5, 4), "2", "Trichogaster lalius", "temperatura 28,5 °C"])
    p.read(n, "2025-05-04", "temperature_c", 28.5, system="2")
    n = p.row([D(2025, 5, 7), "2", "Trichogaster lalius", "puesta, unos 400 huevos"])
    p.clutch(n, a, laid_to="2025-05-07", eggs=400, eggs_method="estimated", hatch_to="2025-05-08", swim_to="2025-05-11", **S)
    p.row([D(2025, 5, 8), "2", "Trichogaster lalius", "eclosión"])
    p.row([D(2025, 5, 11), "2", "Trichogaster lalius", "nadan libres"])
    b = p.row([D(2025, 5, 24), "2", "Trichogaster lalius", "montaje, otra hembra"])
    p.begins(b, began="2025-05-24", spawned=False, ended="2025-06-02", males="*", females="*", temperature_c="*", **S)
    n = p.row([D(2025, 5, 27), "2", "Trichogaster lalius", "cambio de agua 20 %"])
    p.act(n, "2025-05-27", "water_change", 20, "%", system="2")
    p.row([D(2025, 5, 30), "2", "Trichogaster lalius", "sin huevos"])
    p.row([D(2025, 6, 2), "2", "Trichogaster lalius", "abandono el intento"])
    return log


def collection_weekly_totals():
    log, p = one("b1-egg-collection-en", "Daily egg collection of a zebrafish group with totals each week, a day without a look, a day of holidays in words.", "Tamsin Oyelaran/egg collection.csv", always=dict(system="Z4", species="Danio rerio", began="*"))
    p.row("Egg collection sheet,,,,,")
    p.row("Tank: Z4,,,,,")
    p.row("Species: Danio rerio,,,,,")
    p.head(["Date", "Viable", "Unviable", "Total", "Temp (°C)", "Initials"], "spawned_at began", "fertile", "", "eggs", "temperature_c", "")
    days = [("15/04/2024", 120, 14), ("16/04/2024", 88, 20), ("17/04/2024", 0, 0), ("18/04/2024", None, None), ("19/04/2024", 143, 9)]
    def line(w, v, u, note=None):
        iso = w[6:] + "-" + w[3:5] + "-" + w[:2]
        if v is None:
            p.row([w, "", "", "", "", note or ""])
        elif v + u == 0:
            p.ac([w, "0", "0", "0", "27.5", "TO"], spawned=False, temperature_c=27.5, notes="*")
        else:
            p.ac([w, v, u, v + u, "27.5", "TO"], spawned=True, spawned_at=iso, eggs=v + u, fertile=v, temperature_c=27.5, notes="*")
    for x in days:
        line(*x)
    p.row(["Week total", "351", "43", "394", "", ""])
    for x in [("22/04/2024", 97, 11), ("23/04/2024", 0, 0), ("24/04/2024", 60, 31)]:
        line(*x)
    p.ac(["25/04/2024", "80", "15", "100", "27.5", "TO"], d="D:NUM:", spawned=True, spawned_at="2024-04-25", eggs="*", fertile="*", temperature_c=27.5)
    p.row(["Week total", "237", "57", "299", "", ""])
    return log


def collection_de_mop():
    log, p = one("b1-wollmop-de", "Eier aus dem Mop, alle zwei Tage gezählt: Datum, klare, verpilzte; 'keine' statt 0.", "Fiete Lorenzen/Mop.ods", "gnumeric-ods", "Mop", always=dict(system="K2", species="Fundulopanchax gardneri", began="*"))
    p.row(["Becken", "K2", None, None, None])
    p.row(["Art", "Fundulopanchax gardneri", None, None, None])
    p.row([])
    p.head(["Datum", "Eier gesamt", "davon klar", "Temperatur °C", "Notiz"], "spawned_at", "eggs", "fertile", "temperature_c", "notes")
    p.ac([D(2025, 2, 1), 14, 11, 23.5, None], spawned=True, spawned_at="2025-02-01", eggs=14, fertile=11, temperature_c=23.5)
    p.ac([D(2025, 2, 3), 9, 9, 23.5, "Mop gewechselt"], spawned=True, spawned_at="2025-02-03", eggs=9, fertile=9, temperature_c=23.5, notes="Mop gewechselt")
    p.ac([D(2025, 2, 5), 0, 0, 23, None], spawned=False, temperature_c=23)
    p.ac([D(2025, 2, 7), "keine", None, 23, None], d="B:NUM:eggs", spawned="*", spawned_at="*", temperature_c=23, clutch=False)
    p.ac([D(2025, 2, 9), 17, 15, 24, None], spawned=True, spawned_at="2025-02-09", eggs=17, fertile=15, temperature_c=24)
    p.ac([D(2025, 2, 11), "1 Dutzend", 10, 24, None], d="B:NUM:eggs", spawned=True, spawned_at="2025-02-11", eggs=None, fertile=10, temperature_c=24)
    return log


def logger_us():
    log, p = one("b1-logger-us", "An export of an invented weather logger: preamble with serial number, month/day/year with AM and PM, Fahrenheit and inches of mercury, missing values, an event line.", "Wendell Kraus/SkyPod_export.csv", eol="\r\n")
    p.row("SkyPod WX-20 export")
    p.row("Serial no.,SP-118822")
    p.row("Samples,12")
    p.row("")
    p.head(["#", "Date/Time", "Indoor Temp (F)", "Pressure (inHg)", "Humidity (%)", "Battery"], "", "at", "value", "value", "", "")
    rows = [("1", "3/14/2025 6:00 AM", "68.0", "29.92", "41"), ("2", "3/14/2025 9:00 AM", "68.5", "29.88", "41"), ("3", "3/14/2025 12:00 PM", "70.1", "29.80", "40"), ("4", "3/14/2025 3:00 PM", "71.0", "29.74", "39"), ("5", "3/14/2025 6:00 PM", "---", "29.70", "39"), ("6", "3/14/2025 9:00 PM", "69.2", "--", "40"), ("7", "3/15/2025 12:00 AM", "68.8", "29.71", "41"), ("8", "3/15/2025 3:00 AM", "68.1", "299.4", "41"), ("9", "3/15/2025 6:00 AM", "67.9", "29.79", "41")]
    for r in rows:
        n = p.row(list(r) + ["100%"], d="D:NUM:value" if r[3] == "299.4" else "")
        t = dt.datetime.strptime(r[1], "%m/%d/%Y %I:%M %p")
        # The temperature of a room is not that of a tank.
        if not r[2].startswith("--"):
            p.read(n, t, "room_temperature_c", (float(r[2]) - 32) / 1.8, system="*")
        if r[3] not in ("--", "299.4"):
            p.read(n, t, "air_pressure_hpa", float(r[3]) * 33.8638866667, system="*")
    return log


def logger_de():
    log, p = one("b1-logger-de", "Ausgabe eines erfundenen Loggers: Kopfzeilen mit Doppelpunkt, Semikolon, Dezimalkomma, Einheiten in einer zweiten Zeile, '---' und -127 als Ausfall.", "Sieglinde Hafner/AquaLog_2025-01.csv", delim=";", encoding="cp1252", eol="\r\n")
    p.row("Gerät: AquaLog 2")
    p.row("Messstelle: Becken 7")
    p.row("Zeitzone: lokal")
    p.row("")
    p.head(["Datum", "Uhrzeit", "Temperatur", "pH-Wert", "Leitfähigkeit"], "at", "at", "value", "value", "value")
    p.row(["", "", "°C", "", "µS/cm"])
    for w, h, t, ph, c in [("18.01.2025", "08:00", "24,8", "6,72", "248"), ("18.01.2025", "12:00", "25,1", "6,70", "249"), ("18.01.2025", "16:00", "25,3", "---", "251"), ("18.01.2025", "20:00", "25,2", "6,69", "250"), ("19.01.2025", "00:00", "24,9", "6,71", "250"), ("19.01.2025", "04:00", "-127,0", "6,73", "249"), ("19.01.2025", "08:00", "24,7", "6,74", "---"), ("19.01.2025", "12:00", "25,0", "67,4", "251")]:
        d = "C:SENSOR:value" if t == "-127,0" else ("D:NUM:value" if ph == "67,4" else "")
        n = p.row([w, h, t, ph, c], d)
        at = dt.datetime.strptime(w + h, "%d.%m.%Y%H:%M")
        f = lambda x: float(x.replace(",", "."))
        if t != "-127,0":
            p.read(n, at, "temperature_c", f(t), system="*")
        if ph not in ("---", "67,4"):
            p.read(n, at, "ph", f(ph), system="*")
        if c != "---":
            p.read(n, at, "conductivity_us_cm", f(c), system="*")
    return log


def logger_fr_utc():
    log, p = one("b1-logger-fr-utc", "Export d'une station inventée: tabulations, horodatage ISO en UTC, pression en hPa, température de l'eau.", "Tiphaine Kervella/station.tsv", delim="\t")
    p.row("# station météo MétéoBox")
    p.row("# exporté le 2025-02-10")
    p.head(["Horodatage (UTC)", "Pression (hPa)", "Température eau (°C)", "État"], "at", "value", "value", "")
    for i, (pr, te) in enumerate([("1013.2", "25.4"), ("1012.1", "25.3"), ("1009.8", "25.3"), ("1006.4", "25.2"), ("1003.9", "NaN"), ("999", "25.0"), ("1001.3", "25.1")]):
        at = dt.datetime(2025, 2, 8, 22, 0) + dt.timedelta(hours=4 * i)
        n = p.row([at.strftime("%Y-%m-%dT%H:%M:%SZ"), pr, te, "ok"])
        local = at + dt.timedelta(hours=1)
        p.read(n, local, "air_pressure_hpa", float(pr), system="*")
        if te != "NaN":
            p.read(n, local, "temperature_c", float(te), system="*")
    return log


def days_across_es():
    log, p = one("b1-dias-en-columnas", "Una fila por intento y una columna por día; H huevos, E eclosión, NL nado libre según la leyenda.", "Anselmo Bengoechea/por dias.xlsx", "openpyxl", "intentos")
    p.row(["Leyenda: H = huevos, E = eclosión, NL = nado libre, - = nada"])
    p.row([])
    p.head(["Acuario", "Especie", "Montaje", "Día 1", "Día 2", "Día 3", "Día 4", "Día 5", "Día 6", "Día 7", "Día 8"], "system", "species", "began", *["spawned_at hatch_to swim_to"] * 8)
    S = dict(species="Danio rerio", spawned_at="*", temperature_c=None)
    def row(tank, began, codes, laid, hatch=None, swim=None, d=""):
        iso = lambda k: None if k is None else began + dt.timedelta(days=k)
        v = dict(system=tank, species="Danio rerio", began=began)
        if laid is None:
            p.ac([tank, "Danio rerio", began] + codes, d, spawned=False, **v)
        else:
            p.ac([tank, "Danio rerio", began] + codes, d, spawned=True, spawned_at="*", laid_to="*", hatch_to="*" if hatch else None, swim_to="*" if swim else None, **v)
    # Whether day 1 is the day of setting up or the day after is the keeper's secret: the days are left open.
    row("1", D(2024, 6, 3), ["-", "H", "H", "E", "E", "-", "-", "NL"], 1, 3, 7)
    row("2", D(2024, 6, 3), ["-", "-", "-", "-", "-", "-", "-", "-"], None)
    row("1", D(2024, 6, 17), ["H", "H", "E", "-", "-", "NL", "NL", "NL"], 0, 2, 5)
    row("2", D(2024, 6, 17), ["-", "-", "H", "H", "X", "-", "-", "-"], 2, d="H:YES:")
    return log


def dates_across_en():
    log, p = one("b1-dates-across-the-top", "A wide sheet with a column for each date and a row a tank, with a key below.", "Ffion Llewellyn/march.xlsx", "libreoffice-xlsx", "March")
    days = [D(2025, 3, 14) + dt.timedelta(days=i) for i in range(9)]
    p.head(["Tank", "Species", "Set up"] + days, "system", "species", "began", *["spawned_at hatch_to swim_to"] * 9)
    at = lambda k: days[k]
    p.ac(["L1", "Corydoras aeneus", D(2025, 3, 13), "-", "E", "E", "E", "E", "H", "H", "FS", None], system="L1", species="Corydoras aeneus", began="2025-03-13", spawned=True, spawned_at=at(1), hatch_to=at(5), swim_to=at(7))
    p.ac(["L2", "Corydoras aeneus", D(2025, 3, 13), "-", "-", "-", "-", "-", "-", "-", "-", "-"], system="L2", species="Corydoras aeneus", began="2025-03-13", spawned="*")
    p.ac(["L3", "Danio rerio", D(2025, 3, 14), "-", "-", "E", "E", "H", "-", "-", "FS", "FS"], system="L3", species="Danio rerio", began="2025-03-14", spawned=True, spawned_at=at(2), hatch_to=at(4), swim_to=at(7))
    p.row([])
    p.row(["E = eggs, H = hatched, FS = free swimming"])
    return log


def three_tables_one_sheet():
    log = Log("b1-three-tables-a-sheet", "One sheet with the attempts and the water tests below each other, each with a title.")
    f = log.file("Jarmila Nováková/everything.xlsx", "libreoffice-xlsx")
    p = Page(f.sheet("All"))
    p.row(["ATTEMPTS"])
    p.head(["Tank", "Species", "Set up", "Males", "Females", "Spawned", "Spawn date", "Eggs"], "system", "species", "began", "males", "females", "spawned", "spawned_at", "eggs")
    p.ac(["J1", "Danio rerio", D(2024, 10, 5), 2, 3, "yes", D(2024, 10, 6), 130], system="J1", species="Danio rerio", began="2024-10-05", males=2, females=3, spawned=True, spawned_at="2024-10-06", eggs=130)
    p.ac(["J2", "Corydoras panda", D(2024, 10, 5), 3, 2, "no", None, None], system="J2", species="Corydoras panda", began="2024-10-05", males=3, females=2, spawned=False)
    p.ac(["J2", "Corydoras panda", D(2024, 10, 26), 3, "two?", "yes", D(2024, 10, 29), 27], d="E:NUM:females", system="J2", species="Corydoras panda", began="2024-10-26", males=3, females=None, spawned=True, spawned_at="2024-10-29", eggs=27)
    p.row([])
    p.row([])
    p.row(["WATER TESTS"])
    p.head(["Date", "Tank", "pH", "GH (°dH)", "KH (°dH)", "NO3 (mg/l)", "Temp (°C)"], "at", "system", *["value"] * 5)
    for w, tank, ph, gh, kh, no3, t in [(D(2024, 10, 4), "J1", 7.1, 8, 4, 10, 26), (D(2024, 10, 11), "J1", 7.0, 8, 4, "<5", 26.2), (D(2024, 10, 11), "J2", 6.8, 5, 2, 15, 23), (D(2024, 10, 25), "J2", 6.9, 5, "2 drops", 20, 22.4)]:
        d = "F:NUM:value" if no3 == "<5" else ("E:NUM:value" if kh == "2 drops" else "")
        n = p.row([w, tank, ph, gh, kh, no3, t], d)
        for q, v in (("ph", ph), ("gh_dh", gh), ("kh_dh", kh), ("nitrate_mg_l", no3), ("temperature_c", t)):
            if not isinstance(v, str):
                p.read(n, w, q, v, system=tank)
    return log


def two_files_joined():
    log = Log("b1-attempts-and-clutches", "Attempts in one file, clutches in another, joined by tank, species and day; one clutch without an attempt.")
    f = log.file("Aurelio Bassi/setups.csv", "text", delim=";")
    p = Page(f.sheet())
    p.head(["Tank", "Species", "Set up", "Temp °C", "Spawned", "Spawn date"], "system", "species", "began", "temperature_c", "spawned", "spawned_at")
    S = dict(species="Danio rerio")
    for tank, began, t, y, laid in [("A", "2024-02-10", "25.5", "yes", "2024-02-12"), ("B", "2024-02-10", "25.5", "no", ""), ("A", "2024-02-24", "26", "yes", "2024-02-25"), ("B", "2024-03-02", "26", "yes", "2024-03-04")]:
        p.a([tank, "Danio rerio", began, t, y, laid], system=tank, began=began, temperature_c=float(t), spawned=y == "yes", spawned_at=laid or None, **S)
    g = log.file("Aurelio Bassi/clutches.csv", "text", delim=";")
    q = Page(g.sheet())
    q.head(["Tank", "Species", "Laid", "Eggs", "Fertile", "Hatched", "Hatch date"], "system", "species", "laid_to", "eggs", "fertile", "hatched", "hatch_to")
    at = lambda row: "Aurelio Bassi/setups.csv||%d" % row
    V = dict(temperature_c="*", females=None)
    q.c(["A", "Danio rerio", "2024-02-12", "120", "100", "81", "2024-02-15"], attempt=at(2), system="A", laid_to="2024-02-12", eggs=120, fertile=100, hatched=81, hatch_to="2024-02-15", **S, **V)
    q.c(["A", "Danio rerio", "2024-02-25", "95", "ninety", "70", "2024-02-28"], d="E:NUM:fertile", attempt=at(4), system="A", laid_to="2024-02-25", eggs=95, hatched=70, hatch_to="2024-02-28", **S, **V)
    q.c(["B", "Danio rerio", "2024-03-04", "64", "50", "44", "2024-03-07"], attempt=at(5), system="B", laid_to="2024-03-04", eggs=64, fertile=50, hatched=44, hatch_to="2024-03-07", **S, **V)
    return log


def water_tests_us():
    log, p = one("b1-water-tests-us", "Weekly water tests of an American: hardness in ppm, Fahrenheit, 'yellow' for a colour, tank in the title.", "Marlene Hutchins/tests.csv", always=dict(system="29 gal"))
    p.row("Tank: 29 gal,,,,,")
    p.head(["Test date", "Temp F", "pH", "GH ppm", "KH ppm", "Nitrate ppm"], "at", "value", "value", "value", "value", "value")
    for w, t, ph, gh, kh, no3 in [("5/13/2024", "77", "7.4", "180", "90", "20"), ("5/20/2024", "78", "7.4", "178", "89", "40"), ("5/27/2024", "77.5", "off the chart", "178", "89", "10-20"), ("6/3/2024", "770", "7.2", "160", "80", "yellow")]:
        d = {"off the chart": "C:NUM:value F:NUM:", "7.2": "B:NUM:value F:NUM:value"}.get(ph, "")
        if ph == "off the chart":
            d = "C:NUM:value"
        n = p.row([w, t, ph, gh, kh, no3], d)
        at = dt.datetime.strptime(w, "%m/%d/%Y").date()
        if t != "770":
            p.read(n, at, "temperature_c", (float(t) - 32) / 1.8)
        if ph != "off the chart":
            p.read(n, at, "ph", float(ph))
        p.read(n, at, "gh_dh", float(gh) / 17.848)
        p.read(n, at, "kh_dh", float(kh) / 17.848)
        if no3 == "10-20":
            p.read(n, at, "nitrate_mg_l", 15)
        elif no3 != "yellow":
            p.read(n, at, "nitrate_mg_l", float(no3))
    return log


def actions_fr():
    log, p = one("b1-travaux-fr", "Un tableau des travaux: date, bac, quoi, combien; litres, pour cent et centimètres mêlés.", "Rozenn Cadiou/travaux.csv", delim=";")
    p.head(["Date", "Bac", "Action", "Quantité"], "at", "system", "amount", "amount")
    rows = [("06/01/2025", "B1", "changement d'eau", "30 %", "water_change", 30, "%"), ("13/01/2025", "B1", "changement d'eau", "25 %", "water_change", 25, "%"), ("20/01/2025", "B2", "nourriture vivante", "artémias", "feed_live", "*", "*"), ("22/01/2025", "B1", "niveau baissé", "5 cm", "level_change", -5, "cm"), ("27/01/2025", "B2", "changement d'eau", "la moitié", "water_change", "*", "*")]
    for w, bac, what, amount, action, n, u in rows:
        k = p.row([w, bac, what, amount])
        p.act(k, w[6:] + "-" + w[3:5] + "-" + w[:2], action, n, u, system=bac)
    return log


def turned_de():
    log, p = one("b1-gedreht-de", "Ein Versuch je Spalte, die Bezeichnungen links; Zahlen mit Komma.", "Gesine Hollenberg/gedreht.ods", "libreoffice-ods", "Versuche")
    names = ["Becken", "Art", "Ansatz am", "Temperatur (°C)", "pH", "Abgelaicht", "Laichdatum", "Anzahl Eier", "Geschlüpft am"]
    cols = [["G1", "Corydoras panda", D(2024, 11, 16), 22.5, 6.8, "ja", D(2024, 11, 20), 31, D(2024, 11, 24)], ["G1", "Corydoras panda", D(2024, 12, 7), 22, 6.7, "nein", None, None, None], ["G2", "Danio rerio", D(2024, 12, 14), 25.5, 7.1, "ja", D(2024, 12, 15), 112, D(2024, 12, 18)], ["G2", "Danio rerio", D(2024, 12, 28), "zimmerwarm", 7.1, "ja", D(2024, 12, 29), 98, D(2025, 1, 1)]]
    for i, name in enumerate(names):
        p.row([name] + [c[i] for c in cols])
    for c in cols:
        v = dict(zip("system species began temperature_c ph spawned spawned_at eggs hatch_to".split(), c))
        v["spawned"] = v["spawned"] == "ja"
        if isinstance(v["temperature_c"], str):
            p.sheet.doubt(4, "E", CODES["NUM"])
            v["temperature_c"] = None
        a = p.sheet.expect("attempts", 1, species_as_written="*", notes="*", ended="*", **{k: v[k] for k in "system species began temperature_c ph spawned spawned_at".split()})
        if v["spawned"]:
            p.sheet.expect("clutches", 1, attempt="*", system=v["system"], species=v["species"], laid_to=v["spawned_at"], eggs=v["eggs"], eggs_method="counted", hatch_to=v["hatch_to"], temperature_c=v["temperature_c"])
    return log


def spawns_only_en():
    log, p = one("b1-spawns-only-en", "A keeper who writes down spawns alone: tank, species, day, eggs, days to hatching, loss in words.", "Cuthbert Amory/spawns.csv")
    p.head(["Date of spawning", "Tank", "Species", "Eggs laid", "Days to hatch", "Lost to"], "spawned_at", "system", "species", "eggs", "hatch_to", "loss")
    p.ac(["2024-01-13", "C", "Pterophyllum scalare", "320", "2", ""], system="C", species="Pterophyllum scalare", spawned=True, spawned_at="2024-01-13", eggs=320, hatch_to="2024-01-15")
    p.ac(["2024-02-02", "C", "Pterophyllum scalare", "290", "", "eaten by parents"], system="C", species="Pterophyllum scalare", spawned=True, spawned_at="2024-02-02", eggs=290, loss="eaten by parents")
    p.ac(["2024-02-21", "C", "Pterophyllum scalare", "310", "", "fungus"], system="C", species="Pterophyllum scalare", spawned=True, spawned_at="2024-02-21", eggs=310, loss="fungus")
    p.ac(["2024-03-11", "C", "Pterophyllum scalare", "305", "2.5", ""], system="C", species="Pterophyllum scalare", spawned=True, spawned_at="2024-03-11", eggs=305, hatch_to="*")
    p.ac(["2024-04-01", "D", "Apistogramma cacatuoides", "80ish", "3", "gremlins"], d="F:LOSS:loss", system="D", species="Apistogramma cacatuoides", spawned=True, spawned_at="2024-04-01", eggs="*", eggs_method="*", hatch_to="2024-04-04", lost_at="*")
    return log


def marks_de():
    log, p = one("b1-kreuzchen-de", "Spalten, in denen nur Kreuze stehen: x heißt ja, leer heißt nichts; eine Spalte mit ja und nein daneben.", "Ottokar Brehm/kreuze.csv", delim=";")
    p.head(["Becken", "Art", "Ansatz", "Lebendfutter", "Laub", "abgelaicht", "Eier", "Temp (°C)"], "system", "species", "began", "live_food", "leaf_litter", "spawned", "eggs", "temperature_c")
    for i, (live, leaf, y, eggs) in enumerate([("x", "", "ja", 40), ("", "x", "nein", None), ("x", "", "nein", None), ("x", "x", "ja", 55), ("", "", "nein", None), ("x", "?", "ja", 61)]):
        began = D(2024, 8, 3) + dt.timedelta(days=12 * i)
        p.ac(["1", "Hyphessobrycon amandae", began.strftime("%d.%m.%Y"), live, leaf, y, str(eggs or ""), "26"], system="1", species="Hyphessobrycon amandae", began=began, live_food=True if live else None, leaf_litter=True if leaf == "x" else None, spawned=y == "ja", temperature_c=26, **(dict(eggs=eggs) if eggs else {}))
    return log


LOGS = [diary_bare_en, diary_bare_de, diary_fr, diary_es, collection_weekly_totals, collection_de_mop, logger_us, logger_de, logger_fr_utc, days_across_es, dates_across_en, three_tables_one_sheet, two_files_joined, water_tests_us, actions_fr, turned_de, spawns_only_en, marks_de]
