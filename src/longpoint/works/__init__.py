"""What is true of one work before anyone wishes something of it: its cloth, timber, draft, mass, tensions."""
