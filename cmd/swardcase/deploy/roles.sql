-- Run once, when the database is made: the login that serves. It owns nothing;
-- `swardcase migrate up`, as the owner, gives it what it may do.
\set password `cut -d: -f5 /run/secrets/server_pgpass`
CREATE ROLE swardcase_server LOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE NOBYPASSRLS PASSWORD :'password';
