"""Running the site on a machine: addresses, certificates, the lock on the data folder, the server itself."""
