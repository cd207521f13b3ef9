"""The replication server and client of npm that the sync is measured against, installed into a scratch folder."""
