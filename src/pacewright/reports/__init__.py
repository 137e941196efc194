"""Tables, drawings and pages made from plans; nothing here computes a plan."""
