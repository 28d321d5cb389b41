"""Every command on broken and hostile files: ``python -m tests.fuzz`` runs many cases, ``test_command_line`` five hundred of them."""
