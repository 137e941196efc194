"""The papers one step hands to the next: frozen, printable, no computing."""
