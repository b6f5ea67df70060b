-- create_database makes a database for one test.
-- Formatted with the name and the template, both of servertest's own making: identifiers can't be parameters.
CREATE DATABASE %s TEMPLATE %s
