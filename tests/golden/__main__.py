"""Write the sheets anew. Read the difference before you commit it: this is what people will see."""

from tests.golden import HERE, SHEETS, sheet_of

for name, arguments in SHEETS.items():
    (HERE / name).write_text(sheet_of(arguments), encoding="utf-8")
