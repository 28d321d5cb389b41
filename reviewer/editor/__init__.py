"""A design while it is being written: what an editor asks for, by the Language Server Protocol."""
