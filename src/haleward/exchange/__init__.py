"""Exchange: a person's file, health-record files and tables, in and out."""
