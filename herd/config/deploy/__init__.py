"""Settings of the programs around an installation on a server: web server, proxy, units, containers."""
