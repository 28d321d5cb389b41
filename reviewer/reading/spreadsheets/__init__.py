"""Load lists and wire lists in spreadsheets beside the design file.

    tables:
      - {file: loads.csv, list: loads, columns: {load: Equipment, bus: Bus, ...}, return: ground}

Each file is read once from beside the design; ``csv_sheet`` and ``workbook_sheet`` make rows of it,
``columns`` finds the heads, ``load_rows`` and ``wire_rows`` make a path of each row, whose parts and
wires are made as those of circuits are, each at its cell.
"""
