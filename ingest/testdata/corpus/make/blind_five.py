"""Blind logs, fifth set: written after the fourth was mended, with the expected tables fixed before the program read them."""

import datetime as dt

from byhand import *

D = lambda *x: dt.date(*x)
F = lambda f: (f - 32) / 1.8


def be_tetras():
    log, p = one("b5-be-tetras", "A Belgian's spreadsheet in French: photoperiod, leaf litter, tank mates, moon; groups as 2m 3f; dates with dashes.", "Godelieve Paquet/tetras.csv", delim=";")
    p.head(["Bac", "Espèce", "Date de lancement", "Composition", "Temp. (°C)", "pH", "Feuilles mortes", "Lune", "Ponte ?", "Date ponte", "Nb. d'œufs", "Larves nageant librement", "Observations"], "system", "species", "began", "males females", "temperature_c", "ph", "leaf_litter", "", "spawned", "spawned_at", "eggs", "free_swimming swim_to", "notes")
    S = dict(species="Paracheirodon innesi")
    p.ac(["T1", "Paracheirodon innesi", "18-01-2025", "2m 3f", "23,5", "5,6", "oui", "pleine", "oui", "20-01-2025", "70", "25", "obscurité totale"], system="T1", began="2025-01-18", males=2, females=3, temperature_c=23.5, ph=5.6, leaf_litter=True, spawned=True, spawned_at="2025-01-20", eggs=70, free_swimming=25, notes="obscurité totale", **S)
    p.ac(["T1", "Paracheirodon innesi", "08-02-2025", "2m 3f", "24", "5,5", "oui", "croissante", "non", "", "", "", ""], system="T1", began="2025-02-08", males=2, females=3, temperature_c=24, ph=5.5, leaf_litter=True, spawned=False, **S)
    p.ac(["T2", "Paracheirodon innesi", "22-02-2025", "1m 1f", "23", "5,8", "non", "nouvelle", "oui", "25-02-2025", "au moins 50", "?", "couple jeune"], system="T2", began="2025-02-22", males=1, females=1, temperature_c=23, ph=5.8, leaf_litter=False, spawned=True, spawned_at="2025-02-25", eggs=None, eggs_low=50, eggs_method="*", notes="couple jeune", **S)
    p.ac(["T2", "Paracheirodon innesi", "15-03-2025", "quelques-uns", "23", "acide", "non", "pleine", "oui", "16-03-2025", "40", "10", ""], d="D:SEX:males,females F:NUM:ph", system="T2", began="2025-03-15", temperature_c=23, leaf_litter=False, spawned=True, spawned_at="2025-03-16", eggs=40, free_swimming=10, **S)
    return log


def us_commas():
    log, p = one("b5-de-kommas-ohne-anfuehrung", "Ein von Hand getipptes CSV mit Kommas als Trenner und als Dezimalzeichen, ohne Anführungszeichen.", "Traudl Wimmer/getippt.csv")
    p.head(["Becken", "Art", "Laichdatum", "Temperatur °C", "Eier", "Bemerkung"], "system", "species", "spawned_at", "temperature_c", "eggs", "notes")
    S = dict(species="Danio rerio", system="1", spawned=True)
    V = ["spawned", "spawned_at", "laid_to", "eggs", "temperature_c"]
    n = p.row("1,Danio rerio,14.03.2024,24,5,120,")
    p.sheet.doubt(n, "", "ragged-row")
    n = p.row("1,Danio rerio,18.03.2024,25,5,90")
    p.sheet.doubt(n, "", "ragged-row")
    p.ac("1,Danio rerio,22.03.2024,24,150,früh", spawned_at="2024-03-22", eggs=150, temperature_c=24, notes="früh", **S)
    n = p.row("1,Danio rerio,26.03.2024,25,5,80,spät")
    p.sheet.doubt(n, "", "ragged-row")
    return log


def hatch_in_days():
    log, p = one("b5-en-hatch-in-days", "A breeder who writes days under Hatch and Free swim without saying so.", "Percival Toogood/days.csv")
    p.head(["Tank", "Species", "Spawn date", "Eggs", "Hatch", "Free swim", "Temp °C"], "system", "species", "spawned_at", "eggs", "hatched hatch_to", "free_swimming swim_to", "temperature_c")
    for i, (e, h, s) in enumerate([(220, 2, 5), (180, 2, 5), (260, 3, 6), (240, 2, 5)]):
        laid = D(2025, 1, 14) + dt.timedelta(days=12 * i)
        p.ac(["9", "Pterophyllum scalare", laid.isoformat(), e, h, s, "27"], system="9", species="Pterophyllum scalare", spawned=True, spawned_at=laid, eggs=e, hatched=None, hatch_to="*", free_swimming=None, swim_to="*", temperature_c=27)
    p.sheet.doubt(1, "E", "heading-unknown|unit-missing|number-unreadable", "")
    p.sheet.doubt(1, "F", "heading-unknown|unit-missing|number-unreadable", "")
    return log


def za_workbook():
    log, p = one("b5-za-workbook", "A South African's workbook: decimals with commas stored as text beside real numbers, dates as text in words, merged tank cells, an error value, hidden row.", "Sipho Mabaso/kweek.xlsx", "excelize", "2025")
    p.head(["Tank", "Species", "Pair introduced", "Water °C", "pH", "Did spawn", "Spawn seen on", "Total eggs", "Infertile", "Hatched no."], "system", "species", "began", "temperature_c", "ph", "spawned", "spawned_at", "eggs", "", "hatched")
    S = dict(species="Apistogramma borellii")
    p.ac(["Z1", "Apistogramma borellii", "11 January 2025", "24,5", 6.8, "Y", "19 January 2025", 60, 8, 44], system="Z1", began="2025-01-11", temperature_c=24.5, ph=6.8, spawned=True, spawned_at="2025-01-19", eggs=60, fertile="*", hatched=44, **S)
    p.ac([None, "Apistogramma borellii", "8 February 2025", 25, "6,7", "N", None, None, None, None], system="Z1", began="2025-02-08", temperature_c=25, ph=6.7, spawned=False, **S)
    p.sheet.merges.append("A2:A3")
    p.ac(["Z2", "Apistogramma borellii", "15 February 2025", "#N/A", 6.6, "Y", "22 February 2025", 55, 5, 40], system="Z2", began="2025-02-15", ph=6.6, spawned=True, spawned_at="2025-02-22", eggs=55, fertile="*", hatched=40, **S)
    p.ac(["Z2", "Apistogramma borellii", "15 March 2025", 24, 6.6, "Y", "2 March 2025", 50, 5, 70], d="G:DATE: J:NUM:", system="Z2", began="*", temperature_c=24, ph=6.6, spawned=True, spawned_at="*", laid_to="*", eggs="*", fertile="*", hatched="*", **S)
    return log


def at_logger():
    log, p = one("b5-at-logger", "Ausgabe eines erfundenen Aquarienreglers: Zeitstempel mit Sekunden, Sonden nummeriert, Einheit im Wert, Textzeilen dazwischen.", "Notburga Eder/regler.csv", delim=";", encoding="utf-8", bom=b"\xef\xbb\xbf")
    p.row("AquaRegler Export;V2.3")
    p.head(["Zeit", "Temperatur", "pH", "Leitwert"], "at", "value", "value", "value")
    for w, t, ph, lw in [("14.02.2025 00:00:00", "25,1 °C", "6,61", "212 µS/cm"), ("14.02.2025 04:00:00", "25,0 °C", "6,62", "212 µS/cm"), ("14.02.2025 08:00:00", "24,9 °C", "6,60", "213 µS/cm"), ("14.02.2025 12:00:00", "25,2 °C", "16,6", "214 µS/cm"), ("14.02.2025 16:00:00", "n/v", "6,58", "215 µS/cm")]:
        n = p.row([w, t, ph, lw], d="C:NUM:value" if ph == "16,6" else "")
        at = dt.datetime.strptime(w, "%d.%m.%Y %H:%M:%S")
        f = lambda x: float(x.split()[0].replace(",", "."))
        if t != "n/v":
            p.read(n, at, "temperature_c", f(t), system="*")
        if ph != "16,6":
            p.read(n, at, "ph", f(ph), system="*")
        p.read(n, at, "conductivity_us_cm", f(lw), system="*")
    return log


def us_breeding_points():
    log, p = one("b5-us-points-sheet", "A club's breeding points sheet: member in a column, date spawned, date fry shown, number of fry, Fahrenheit ranges, hardness in grains.", "Points committee/2025.csv", keeper="*")
    p.head(["Member", "Species", "Spawn date", "Water temp (F)", "pH", "Number of eggs", "Number of fry", "Method"], "keeper", "species", "spawned_at", "temperature_c", "ph", "eggs", "hatched free_swimming", "")
    fry = dict(hatched="*", free_swimming="*", system=None, spawned=True)
    p.ac(["Lou Castellano", "Corydoras panda", "2/14/2025", "70-72", "6.8", "30", "18", "egg layer"], species="Corydoras panda", keeper="Lou Castellano", spawned_at="2025-02-14", temperature_c=F(71), ph=6.8, eggs=30, **fry)
    p.ac(["Lou Castellano", "Danio rerio", "2/28/2025", "78", "7.2", "200+", "90", "marbles"], species="Danio rerio", keeper="Lou Castellano", spawned_at="2025-02-28", temperature_c=F(78), ph=7.2, eggs=None, eggs_low=200, eggs_method="*", **fry)
    p.ac(["Bea Novak", "Betta splendens", "3/15/2025", "8 2", "7.0", "", "60", "bubble nest"], d="D:NUM:temperature_c", species="Betta splendens", keeper="Bea Novak", spawned_at="2025-03-15", ph=7, **fry)
    return log


def mx_diario():
    log, p = one("b5-mx-diario", "Diario en texto de un mexicano: fechas con guiones, frases, dos acuarios en el texto.", "Ximena Larios/bitacora.txt", "text", always=dict(system="*", species="Danio rerio"))
    p.row("Acuario 4, Danio rerio")
    p.row("")
    a = p.row("14-02-2025: montaje de 2 machos y 3 hembras, 26 °C")
    p.begins(a, began="2025-02-14", spawned=True, spawned_at="2025-02-15", males="*", females="*", temperature_c="*")
    p.read(a, "2025-02-14", "temperature_c", 26)
    n = p.row("15-02-2025: puesta, 140 huevos contados")
    p.clutch(n, a, laid_to="2025-02-15", eggs=140, hatch_to="2025-02-18", swim_to="2025-02-21")
    p.row("18-02-2025: eclosionaron")
    p.row("21-02-2025: los alevines nadan libremente")
    b = p.row("15-03-2025: montaje otra vez")
    p.begins(b, began="2025-03-15", spawned=False, ended="2025-03-23", males="*", females="*", temperature_c="*")
    n = p.row("17-03-2025: cambio de agua del 30 %")
    p.act(n, "2025-03-17", "water_change", 30, "%")
    n = p.row("20-03-2025: creo que hay huevos")
    p.sheet.doubt(n, "", CODES["ENTRY"])
    p.row("23-03-2025: abandono")
    return log


LOGS = [be_tetras, us_commas, hatch_in_days, za_workbook, at_logger, us_breeding_points, mx_diario]
