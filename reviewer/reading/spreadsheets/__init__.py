"""Load lists and wire lists in spreadsheets beside the design file.

    tables:
      - {file: loads.csv, list: loads, columns: {load: Equipment, bus: Bus, ...}, return: ground}

``table_files`` reads each file once, ``csv_sheet`` and ``workbook_sheet`` make rows of text of it,
``columns`` finds the heads, ``load_rows`` and ``wire_rows`` make a path of each row, whose parts and
wires are made as those of circuits are, each at its cell.
"""
