"""The page of a design beside an editor: served to this machine alone, renewed as its files change."""
