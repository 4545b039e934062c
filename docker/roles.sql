-- Run once, by the database's superuser, when its volume is empty. The owner migrates and loads; the role that serves
-- owns nothing. Passwords are read from files, so that no list of processes and no log of statements shows them.
\set owner_password `cat /run/secrets/owner_password`
\set service_password `cat /run/secrets/service_password`
set password_encryption = 'scram-sha-256';
create role deck_owner login password :'owner_password';
create role deck_service login password :'service_password';
revoke all on database postgres, template1 from public;
revoke all on database deck_framing from public;
alter database deck_framing owner to deck_owner;
grant connect on database deck_framing to deck_service;
