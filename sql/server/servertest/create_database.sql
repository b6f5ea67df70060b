-- create_database makes a database for one test.
-- Formatted with the name, the template and how to copy it, all of servertest's own making: identifiers can't be parameters.
CREATE DATABASE %s TEMPLATE %s%s
