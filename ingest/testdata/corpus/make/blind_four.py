"""Blind logs, fourth set: written after the third was mended, with the expected tables fixed before the program read them."""

import datetime as dt

from byhand import *

D = lambda *x: dt.date(*x)
F = lambda f: (f - 32) / 1.8


def ca_discus():
    log, p = one("b4-ca-discus", "A Canadian's workbook: days with their names, pair names, a temperature each for tank and new water, fry counts at two ages, comments.", "Marguerite Doucet/discus.xlsx", "libreoffice-xlsx", "Pairs")
    p.head(["Pair", "Tank", "Species", "Conditioned since", "Date spawned", "Tank temp (C)", "New water temp (C)", "WC volume (%)", "pH", "Eggs est.", "Wigglers (date)", "Free swimming (date)", "Fry at 3 wks", "Notes"], "", "system", "species", "", "spawned_at", "temperature_c refill_delta_c", "refill_delta_c", "water_change_pct", "ph", "eggs", "hatch_to", "swim_to", "", "notes")
    S = dict(species="Symphysodon aequifasciatus", spawned=True, conditioning_days="*")
    p.ac(["Red x Blue", "D1", "Symphysodon aequifasciatus", D(2025, 1, 2), "Sat 18 Jan 2025", 29.5, 27, 40, 6.2, 180, D(2025, 1, 21), D(2025, 1, 25), 60, "fanned well"], system="D1", spawned_at="2025-01-18", temperature_c=29.5, refill_delta_c=-2.5, water_change_pct=40, ph=6.2, eggs=180, eggs_method="estimated", hatch_to="2025-01-21", swim_to="2025-01-25", notes="fanned well", **S)
    p.ac(["Red x Blue", "D1", "Symphysodon aequifasciatus", None, "Mon 10 Feb 2025", 29, 27.5, 40, 6.3, 200, None, None, None, "ate them day 2"], system="D1", spawned_at="2025-02-10", temperature_c=29, refill_delta_c=-1.5, water_change_pct=40, ph=6.3, eggs=200, eggs_method="estimated", notes="ate them day 2", loss="*", **S)
    p.ac(["Wild", "D3", "Symphysodon aequifasciatus", D(2025, 1, 20), "Sun 23 Feb 2025", 30, "cool", 50, 5.9, "120-140", D(2025, 2, 26), D(2025, 3, 2), 45, None], d="G:NUM:refill_delta_c", system="D3", spawned_at="2025-02-23", temperature_c=30, refill_delta_c=None, water_change_pct=50, ph=5.9, eggs=130, eggs_low=120, eggs_high=140, eggs_method="estimated", hatch_to="2025-02-26", swim_to="2025-03-02", **S)
    return log


def de_liste_kurz():
    log, p = one("b4-de-kurzliste", "Kurzliste mit Abkürzungen im Kopf: Bk, Dat., T, LW, WW%, abgel., Ei, geschl., Bem.; Jahre zweistellig.", "Friedhelm Aust/liste.csv", delim=";", encoding="cp1252", eol="\r\n")
    p.head(["Bk.", "Art", "Ans.", "T [°C]", "LW [µS/cm]", "WW [%]", "abgel.", "Laichdat.", "Eizahl", "geschl.", "Bem."], "system", "species", "began", "temperature_c", "conductivity_us_cm", "water_change_pct", "spawned", "spawned_at", "eggs", "hatched", "notes")
    S = dict(species="Danio rerio")
    p.ac(["4", "Danio rerio", "15.02.25", "25,5", "280", "30", "j", "16.02.25", "110", "80", "früh"], system="4", began="2025-02-15", temperature_c=25.5, conductivity_us_cm=280, water_change_pct=30, spawned=True, spawned_at="2025-02-16", eggs=110, hatched=80, notes="früh", **S)
    p.ac(["4", "Danio rerio", "01.03.25", "26", "290", "30", "n", "", "", "", "träge"], system="4", began="2025-03-01", temperature_c=26, conductivity_us_cm=290, water_change_pct=30, spawned=False, notes="träge", **S)
    p.ac(["5", "Danio rerio", "08.03.25", "26", "29O", "50", "j", "09.03.25", "150", "90", ""], d="E:NUM:conductivity_us_cm", system="5", began="2025-03-08", temperature_c=26, water_change_pct=50, spawned=True, spawned_at="2025-03-09", eggs=150, hatched=90, **S)
    p.ac(["5", "Danio rerio", "22.03.25", "25", "285", "½", "j", "23.03.25", "130", "100", ""], system="5", began="2025-03-22", temperature_c=25, conductivity_us_cm=285, water_change_pct="*", spawned=True, spawned_at="2025-03-23", eggs=130, hatched=100, **S)
    return log


def fr_relevés():
    log, p = one("b4-fr-releves", "Relevés hebdomadaires d'un aquariophile: une feuille par bac, virgules, nitrates en mg/l, cellule vide ou 'nd'.", "Armelle Kermarrec/releves.xlsx", "gnumeric-xlsx", "Bac 4")
    p.head(["Date du relevé", "Température", "pH", "KH (°d)", "GH (°d)", "NO3 (mg/l)", "Conductivité (µS)"], "at", *["value"] * 6)
    for w, t, ph, kh, gh, no3, c in [(D(2025, 1, 13), "25,1", "6,8", 3, 6, 10, 240), (D(2025, 1, 20), "25,0", "6,9", 3, 6, "nd", 245), (D(2025, 1, 27), "24,8", "69", 3, 7, 15, 250), (D(2025, 2, 3), "25,2", "6,8", 4, 7, 12.5, None)]:
        n = p.row([w, t, ph, kh, gh, no3, c], d="C:NUM:value" if ph == "69" else "")
        f = lambda x: float(str(x).replace(",", "."))
        p.read(n, w, "temperature_c", f(t), system="*")
        if ph != "69":
            p.read(n, w, "ph", f(ph), system="*")
        p.read(n, w, "kh_dh", kh, system="*")
        p.read(n, w, "gh_dh", gh, system="*")
        if no3 != "nd":
            p.read(n, w, "nitrate_mg_l", no3, system="*")
        if c:
            p.read(n, w, "conductivity_us_cm", c, system="*")
    return log


def uk_weather_station():
    log, p = one("b4-uk-weather-station", "A weather station's export: quoted fields, sea level pressure in mb, outdoor temperature, rain; gaps as blanks; a frozen sensor.", "Tobias Quennell/wx.csv", quoting=1)
    p.row("Exported by WxView 9 on 01/03/2025")
    p.row("")
    p.head(["Date and time", "Sea level pressure (mb)", "Outside temp (°C)", "Rain (mm)"], "at", "value", "", "")
    t0 = dt.datetime(2025, 2, 14, 0, 0)
    for i, (pr, to, rain) in enumerate([("1021.3", "4.1", "0"), ("1019.9", "3.8", "0"), ("1016.0", "5.5", "0.2"), ("", "6.0", "1.4"), ("1007.7", "6.2", "3.0"), ("1005.1", "6.6", "2.2"), ("100.51", "6.4", "0"), ("1008.8", "5.0", "0")]):
        at = t0 + dt.timedelta(hours=3 * i)
        n = p.row([at.strftime("%d/%m/%Y %H:%M"), pr, to, rain], d="B:NUM:value" if pr == "100.51" else "")
        if pr and pr != "100.51":
            p.read(n, at, "air_pressure_hpa", float(pr), system="*")
    return log


def es_hoja_parejas():
    log, p = one("b4-es-parejas", "Hoja con parejas y resultados en palabras; fecha larga en español; 'sí, pero' con pérdida; idem.", "Remedios Altuna/parejas.csv", delim=";")
    p.head(["Pareja", "Acuario", "Especie", "Fecha de unión", "¿Hubo puesta?", "Fecha de la puesta", "Nº de huevos (aprox.)", "Eclosión el", "Temperatura"], "", "system", "species", "began", "spawned loss", "spawned_at", "eggs", "hatch_to", "temperature_c")
    S = dict(species="Pterophyllum scalare")
    p.ac(["P1", "6", "Pterophyllum scalare", "4 de enero de 2025", "sí", "11 de enero de 2025", "300", "13 de enero de 2025", "27"], system="6", began="2025-01-04", spawned=True, spawned_at="2025-01-11", eggs=300, eggs_method="estimated", hatch_to="2025-01-13", temperature_c=27, **S)
    p.ac(["P1", "6", "idem", "1 de febrero de 2025", "sí, pero se los comieron", "5 de febrero de 2025", "250", "", "27"], system="6", began="2025-02-01", spawned=True, spawned_at="2025-02-05", eggs=250, eggs_method="estimated", temperature_c=27, loss="*", lost_at="*", **S)
    p.ac(["P2", "7", "idem", "15 de febrero de 2025", "no", "", "", "", "26,5"], system="7", began="2025-02-15", spawned=False, temperature_c=26.5, **S)
    p.ac(["P2", "7", "idem", "1 de marzo de 2025", "quizás", "", "", "", "26,5"], d="E:YES:spawned", system="7", began="2025-03-01", spawned=None, temperature_c=26.5, **S)
    p.ac(["P2", "7", "idem", "15 de marzo de 2025", "sí", "31 de febrero de 2025", "280", "", "26"], d="F:DATE:spawned_at,laid_to", system="7", began="2025-03-15", spawned=True, laid_to="*", eggs=280, eggs_method="estimated", temperature_c=26, **S)
    return log


def nz_diary():
    log, p = one("b4-nz-diary", "A New Zealander's spreadsheet diary with a column of remarks under an odd heading, several tanks, two-digit years.", "Aroha Whitiora/goings-on.csv")
    p.head(["Day", "Tank", "Goings-on"], "at began laid_to hatch_to swim_to", "system", "species eggs")
    a = p.row(["18/01/25", "2", "set up 2.2 Danio rerio"])
    p.begins(a, system="2", species="Danio rerio", began="2025-01-18", males=2, females=2, spawned=True, spawned_at="2025-01-19", temperature_c="*")
    n = p.row(["18/01/25", "5", "25% water change"])
    p.act(n, "2025-01-18", "water_change", 25, "%", system="5")
    n = p.row(["19/01/25", "2", "eggs this morning, about 120"])
    p.clutch(n, a, system="2", species="Danio rerio", laid_to="2025-01-19", eggs=120, eggs_method="estimated", hatch_to="2025-01-22", swim_to="2025-01-25")
    p.row(["22/01/25", "2", "hatched"])
    p.row(["25/01/25", "2", "free swimming"])
    b = p.row(["01/02/25", "5", "set up 3.2 Corydoras aeneus"])
    p.begins(b, system="5", species="Corydoras aeneus", began="2025-02-01", males=3, females=2, spawned=False, ended="2025-02-16", temperature_c="*")
    n = p.row(["08/02/25", "5", "50% water change, 5 °C cooler"])
    p.act(n, "2025-02-08", "water_change", 50, "%", system="5")
    n = p.row(["09/02/25", "5", "could be eggs behind the filter?"])
    p.sheet.doubt(n, "", CODES["ENTRY"])
    p.row(["16/02/25", "5", "gave up"])
    return log


def us_daily_sheet():
    log, p = one("b4-us-daily-sheet", "A laboratory's daily sheet: strain, tank, males and females, eggs collected, fertilized at 24 h, initials, a dash for not set up.", "Fish facility/daily.xlsx", "openpyxl", "March", keeper="*")
    p.head(["Date", "Tank ID", "Species", "# Males", "# Females", "Eggs collected", "Fertilized (24 h)", "% fert", "Temp (F)", "Tech"], "spawned_at", "system", "species", "males", "females", "eggs", "fertile", "", "temperature_c", "keeper")
    S = dict(species="Danio rerio", began="*", keeper="*", ended="*")
    for w, tank, m, f, e, fert, t in [(D(2025, 3, 14), "T-101", 2, 3, 212, 190, 82.4), (D(2025, 3, 14), "T-102", 1, 2, 0, 0, 82.4), (D(2025, 3, 17), "T-101", 2, 3, 180, 150, 82), (D(2025, 3, 17), "T-102", 1, 2, "spilled", None, 82), (D(2025, 3, 18), "T-103", 2, 2, 95, 99, 82.2)]:
        d = {"spilled": "F:NUM:eggs", 95: "G:NUM:"}.get(e, "")
        cells = [w, tank, "Danio rerio", m, f, e, fert, None, t, "KP"]
        v = dict(system=tank, males=m, females=f, temperature_c=F(t), **S)
        if e == "spilled":
            p.ac(cells, d, spawned="*", spawned_at="*", clutch=False, **v)
        elif e == 0:
            p.ac(cells, d, spawned=False, **v)
        else:
            p.ac(cells, d, spawned=True, spawned_at=w, eggs=e if e != 95 else "*", fertile=fert if e != 95 else "*", **v)
    return log


def ie_three_sheets():
    log = Log("b4-ie-three-sheets", "An Irish workbook: a sheet of tanks, a sheet of attempts, a sheet of husbandry with amounts, and a chart sheet's leftovers.")
    f = log.file("Fionnuala Breen/book.xlsx", "libreoffice-xlsx")
    t = f.sheet("Tanks")
    t.put("Tank", "Litres", "Filter")
    t.put("1", 60, "sponge")
    t.put("2", 90, "sponge")
    a = Page(f.sheet("Attempts"))
    a.head(["Tank", "Species", "From", "To", "Spawned", "On", "Eggs"], "system", "species", "began", "ended", "spawned", "spawned_at", "eggs")
    a.ac(["1", "Corydoras panda", D(2025, 2, 1), D(2025, 2, 14), "yes", D(2025, 2, 8), 25], system="1", species="Corydoras panda", began="2025-02-01", ended="2025-02-14", spawned=True, spawned_at="2025-02-08", eggs=25)
    a.ac(["2", "Danio rerio", D(2025, 2, 1), D(2025, 2, 15), "no", None, None], system="2", species="Danio rerio", began="2025-02-01", ended="2025-02-15", spawned=False)
    a.ac(["2", "Danio rerio", D(2025, 2, 20), D(2025, 2, 18), "no", None, None], d="D:DATE:", system="2", species="Danio rerio", began="2025-02-20", ended="*", spawned=False)
    h = Page(f.sheet("Jobs"))
    h.head(["Date", "Tank", "Job", "Amount", "Unit"], "at", "system", "amount", "amount", "amount")
    for w, tank, what, n, u, action, amount, unit in [(D(2025, 2, 7), "1", "water change", 30, "%", "water_change", 30, "%"), (D(2025, 2, 7), "2", "water change", 45, "l", "water_change", "*", "*"), (D(2025, 2, 10), "1", "live food", None, None, "feed_live", "*", "*")]:
        k = h.row([w, tank, what, n, u])
        h.act(k, w, action, amount, unit, system=tank)
    return log


LOGS = [ca_discus, de_liste_kurz, fr_relevés, uk_weather_station, es_hoja_parejas, nz_diary, us_daily_sheet, ie_three_sheets]
