-- drop_database removes a test's database, even while connections to it linger.
-- Formatted with the name, which is of servertest's own making.
DROP DATABASE %s WITH (FORCE)
