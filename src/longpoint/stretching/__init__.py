"""Canvas on: piece and fold, staple map, pull, rehearsal, press test, humidity, glue size and primer."""
