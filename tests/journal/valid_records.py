"""Valid records of every word, for tests that change them."""

RECORDS = (
    "vessel: rock bin, 60 L water",
    "kit: nitrite, as NO2, card 0 0.2 0.6 1.5 4, expires 2027-05",
    "test: ammonia 0.5 ppm, nitrite 2, pH 8.1",
    "ammonia 0.5",
    "19:30 salinity 35 ppt",
    "ammonia 0.5 / 1.0 / unreadable",
    "nitrite off the card",
    "test (quarantine): temperature 25.4 C, alkalinity 8.1 dKH",
    "check: ammonia blank 0.2",
    "check: ammonia standard 1.0 as NH4 read 1.5",
    "check: nitrite 1:4 diluted read 0.6",
    "check: ammonia by shop 0",
    "seen: surface film, slight, weir corner, since yesterday",
    "seen: haze gone",
    "gear: carbon reactor off",
    "gear: lights 8 h at 60 %",
    "dose: ammonium chloride 1.6 g",
    "dose: bacterial culture 50 ml every day",
    "dose: ammonium chloride to 2 mg/L as N",
    "water: changed 40 L at 35 ppt",
    "water (quarantine): 20 L from display",
    "water: topped up 6 L",
    "fed: 1.5 g pellets 48 % protein every day",
    "stock: added 12 turban snails",
    "stock: moved 2 gobies quarantine -> display",
    "stock: lost 1 goby",
    "stock: none",
    "treat (quarantine): copper, start, target 0.2 mg/L",
    "plan: 2 gobies 2026-05-20",
    "plan: away 2026-07-01 to 2026-07-14",
    "measure: hood opening width 1192/1191/1192.5 mm",
    "measure: lid mass 6.4 kg",
    "measure: strut frame mount 240 mm below hinge",
    "build: leak test passed, 48 h",
    "build: RCD tripped",
    "gear: gas strut added, 2 of 100 N",
    "spent: 84.50 on door panels",
    "discard: ammonia 2026-03-10 to 2026-03-12, expired reagent",
    "discard: ammonia 2026-03-01 19:00, misread",
    "[ ] order door panels by 2026-04-01",
    "[x] order door panels (done 2026-03-12)",
)
OPENING = """\
## 2026-03-01

- vessel: display, 290 L
- vessel: quarantine, 40 L
- kit: ammonia, as N
- kit: nitrite, as NO2
- 19:00 ammonia 4

"""
