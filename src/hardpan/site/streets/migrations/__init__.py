"""Tables as the database has them, made by Django from the models."""
