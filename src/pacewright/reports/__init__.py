"""Tables, drawings and printed sheets made from plans; nothing here computes a plan."""
