"""1 fleet: vehicles, their permitted intervals and odometer readings -> due windows."""
