-- What the release of revision 0003 asks of the database, recorded from it with values in their places. It stays as
-- it is: a replica of that release may still run when a later migration has been made. Statements end with an empty
-- line; one heading stands for one transaction, of the role that serves unless it says owner.

-- service: looks whether anything has changed

set local search_path to public;

set local statement_timeout = '2s';

-- gives changes
SELECT change_count.changes  FROM change_count;

-- service: reads all there is, at its start

set local search_path to public;

-- gives changes
SELECT change_count.changes  FROM change_count;

-- gives rulebook_id, version, name, digest, header, rows
SELECT rule_table.rulebook_id, rule_table.version, rule_table.name, rule_table.digest, rule_table.header, array((SELECT rule_row.line  FROM rule_row  WHERE rule_row.rulebook_id = rule_table.rulebook_id AND rule_row.version = rule_table.version AND rule_row.table_name = rule_table.name ORDER BY rule_row.position)) AS rows  FROM rule_table  WHERE ((rule_table.rulebook_id, rule_table.version) NOT IN ((NULL, NULL)) OR (1 = 1)) ORDER BY rule_table.name;

-- gives rulebook_id, version, edition, meta, meta_digest, state, published_at, digest, id
SELECT rulebook_version.rulebook_id, rulebook_version.version, rulebook_version.edition, rulebook_version.meta, rulebook_version.meta_digest, rulebook_version.state, rulebook_version.published_at, rulebook_version.digest, rulebook_version.rulebook_id AS id  FROM rulebook_version  WHERE rulebook_version.published_at IS NOT NULL;

-- gives jurisdiction_id, version, document, state, published_at, digest, id
SELECT jurisdiction_version.jurisdiction_id, jurisdiction_version.version, jurisdiction_version.document, jurisdiction_version.state, jurisdiction_version.published_at, jurisdiction_version.digest, jurisdiction_version.jurisdiction_id AS id  FROM jurisdiction_version  WHERE jurisdiction_version.published_at IS NOT NULL;

-- gives price_book_id, version, currency, effective, tax_included, header, state, published_at, digest, id, rows
SELECT price_book_version.price_book_id, price_book_version.version, price_book_version.currency, price_book_version.effective, price_book_version.tax_included, price_book_version.header, price_book_version.state, price_book_version.published_at, price_book_version.digest, price_book_version.price_book_id AS id, CASE WHEN ((price_book_version.price_book_id, price_book_version.version) IN ((NULL, NULL)) AND (1 != 1)) THEN NULL ELSE array((SELECT price_book_line.line  FROM price_book_line  WHERE price_book_line.price_book_id = price_book_version.price_book_id AND price_book_line.version = price_book_version.version ORDER BY price_book_line.position)) END AS rows  FROM price_book_version  WHERE price_book_version.published_at IS NOT NULL;

-- gives id, organisation_id, name, kind, secret_digest, scopes, price_book_id, created_at, revoked_at
SELECT api_key.id, api_key.organisation_id, api_key.name, api_key.kind, api_key.secret_digest, api_key.scopes, api_key.price_book_id, api_key.created_at, api_key.revoked_at  FROM api_key  WHERE api_key.revoked_at IS NULL;

-- gives id, organisation_id, public
SELECT price_book.id, price_book.organisation_id, price_book.public  FROM price_book;

-- gives price_book_id, organisation_id, granted_at
SELECT price_book_grant.price_book_id, price_book_grant.organisation_id, price_book_grant.granted_at  FROM price_book_grant;

-- service: makes a price book

set local search_path to public;

set local lock_timeout = '20s';

set local statement_timeout = '20s';

-- gives organisation_id
SELECT price_book.organisation_id  FROM price_book  WHERE price_book.id = 'previous-book'::VARCHAR;

INSERT INTO price_book (id, organisation_id) VALUES ('previous-book'::VARCHAR, 'previous'::VARCHAR) ON CONFLICT DO NOTHING;

-- gives organisation_id
SELECT price_book.organisation_id  FROM price_book  WHERE price_book.id = 'previous-book'::VARCHAR;

-- service: publishes a version without a last day

set local search_path to public;

set local lock_timeout = '20s';

set local statement_timeout = '20s';

-- gives pg_advisory_xact_lock
select pg_advisory_xact_lock(1731026, hashtext('previous-book'));

-- gives version, effective, state, digest
SELECT price_book_version.version, price_book_version.effective, price_book_version.state, price_book_version.digest  FROM price_book_version  WHERE price_book_version.price_book_id = 'previous-book'::VARCHAR AND price_book_version.published_at IS NOT NULL ORDER BY price_book_version.version;

-- gives max_1
SELECT max(price_book_version.version) AS max_1  FROM price_book_version  WHERE price_book_version.price_book_id = 'previous-book'::VARCHAR;

-- gives timezone
select (now() at time zone 'utc')::date;

-- gives version
SELECT price_book_version.version  FROM price_book_version  WHERE price_book_version.price_book_id = 'previous-book'::VARCHAR AND price_book_version.published_at IS NOT NULL AND price_book_version.state != 'withdrawn'::VARCHAR AND upper_inf(price_book_version.effective) AND lower(price_book_version.effective) < '2099-01-01'::date::DATE;

INSERT INTO price_book_version (price_book_id, version, currency, effective, tax_included, header, state, digest) VALUES ('previous-book'::VARCHAR, 1::INTEGER, 'USD'::VARCHAR, '[2099-01-01,)'::daterange::DATERANGE, false, '{"#id: previous-book","#version: 1","#organisation: previous","#currency: USD","#effective_from: 2099-01-01",#effective_to:,"#tax_included: false","item,sku,description,unit,length_ft,unit_price,breaks,pack_quantity,availability,note"}'::TEXT[], 'draft'::VARCHAR, '69d54ef3a47aa98ca6e06c1d805d5ddd007047b22836a7731d7738dc232baf76'::VARCHAR);

INSERT INTO price_book_line (price_book_id, version, position, line) SELECT 'previous-book'::VARCHAR AS anon_1, 1::INTEGER AS anon_2, CAST(anon_3.position AS INTEGER) AS position, anon_3.line  FROM unnest('{"lumber.2x8.hem_fir.no_2.uc3b,L-28-12,2x8 12 ft,piece,12,1.50,,,in_stock,"}'::TEXT[]) WITH ORDINALITY AS anon_3(line, position);

UPDATE price_book_version SET state='in_force'::VARCHAR, published_at=now() WHERE price_book_version.price_book_id = 'previous-book'::VARCHAR AND price_book_version.version = 1::INTEGER;

-- service: publishes the next version, which ends the one before

set local search_path to public;

set local lock_timeout = '20s';

set local statement_timeout = '20s';

-- gives pg_advisory_xact_lock
select pg_advisory_xact_lock(1731026, hashtext('previous-book'));

-- gives version, effective, state, digest
SELECT price_book_version.version, price_book_version.effective, price_book_version.state, price_book_version.digest  FROM price_book_version  WHERE price_book_version.price_book_id = 'previous-book'::VARCHAR AND price_book_version.published_at IS NOT NULL ORDER BY price_book_version.version;

-- gives max_1
SELECT max(price_book_version.version) AS max_1  FROM price_book_version  WHERE price_book_version.price_book_id = 'previous-book'::VARCHAR;

-- gives timezone
select (now() at time zone 'utc')::date;

-- gives version
SELECT price_book_version.version  FROM price_book_version  WHERE price_book_version.price_book_id = 'previous-book'::VARCHAR AND price_book_version.published_at IS NOT NULL AND price_book_version.state != 'withdrawn'::VARCHAR AND upper_inf(price_book_version.effective) AND lower(price_book_version.effective) < '2099-02-01'::date::DATE;

UPDATE price_book_version SET effective=daterange(lower(price_book_version.effective), '2099-02-01'::date::DATE, '[)'::VARCHAR) WHERE price_book_version.price_book_id = 'previous-book'::VARCHAR AND price_book_version.version = 1::INTEGER;

INSERT INTO price_book_version (price_book_id, version, currency, effective, tax_included, header, state, digest) VALUES ('previous-book'::VARCHAR, 2::INTEGER, 'USD'::VARCHAR, '[2099-02-01,)'::daterange::DATERANGE, false, '{"#id: previous-book","#version: 2","#organisation: previous","#currency: USD","#effective_from: 2099-02-01",#effective_to:,"#tax_included: false","item,sku,description,unit,length_ft,unit_price,breaks,pack_quantity,availability,note"}'::TEXT[], 'draft'::VARCHAR, '1efa94b16cc767a8b76e8bf0e57acf5edddec6807124d28b6af48d9167f4e246'::VARCHAR);

INSERT INTO price_book_line (price_book_id, version, position, line) SELECT 'previous-book'::VARCHAR AS anon_1, 2::INTEGER AS anon_2, CAST(anon_3.position AS INTEGER) AS position, anon_3.line  FROM unnest('{"lumber.2x8.hem_fir.no_2.uc3b,L-28-12,2x8 12 ft,piece,12,2.50,,,in_stock,"}'::TEXT[]) WITH ORDINALITY AS anon_3(line, position);

UPDATE price_book_version SET state='in_force'::VARCHAR, published_at=now() WHERE price_book_version.price_book_id = 'previous-book'::VARCHAR AND price_book_version.version = 2::INTEGER;

-- owner: makes a key

set local search_path to public;

set local lock_timeout = '60s';

-- gives pg_advisory_xact_lock
select pg_advisory_xact_lock(7310262025);

-- gives id
SELECT organisation.id  FROM organisation;

INSERT INTO organisation (id, name) VALUES ('previousyard'::VARCHAR, 'previousyard'::VARCHAR) ON CONFLICT DO NOTHING;

INSERT INTO api_key (id, organisation_id, name, kind, secret_digest, scopes, price_book_id) VALUES ('a5be69392458a272'::VARCHAR, 'previousyard'::VARCHAR, 'till'::VARCHAR, 'secret'::VARCHAR, 'cbc0004ed9f32d7f384a8ea9758bcbc5555e3f85ccd4e1c72dc84f736df56f72'::VARCHAR, '{designs}'::TEXT[], NULL::VARCHAR);

-- owner: grants a price book

set local search_path to public;

set local lock_timeout = '60s';

-- gives pg_advisory_xact_lock
select pg_advisory_xact_lock(7310262025);

-- gives id
SELECT price_book.id  FROM price_book  WHERE price_book.id = 'previous-book'::VARCHAR;

-- gives id
SELECT organisation.id  FROM organisation  WHERE organisation.id = 'previousyard'::VARCHAR;

INSERT INTO price_book_grant (price_book_id, organisation_id) VALUES ('previous-book'::VARCHAR, 'previousyard'::VARCHAR) ON CONFLICT DO NOTHING;

-- service: reads what is new

set local search_path to public;

-- gives changes
SELECT change_count.changes  FROM change_count;

-- gives rulebook_id, version, name, digest, header, rows
SELECT rule_table.rulebook_id, rule_table.version, rule_table.name, rule_table.digest, rule_table.header, array((SELECT rule_row.line  FROM rule_row  WHERE rule_row.rulebook_id = rule_table.rulebook_id AND rule_row.version = rule_table.version AND rule_row.table_name = rule_table.name ORDER BY rule_row.position)) AS rows  FROM rule_table  WHERE ((rule_table.rulebook_id, rule_table.version) NOT IN (('dca-6', 1), ('irc-2015', 1), ('irc-2018', 1), ('irc-2021', 1), ('irc-2024', 1))) ORDER BY rule_table.name;

-- gives rulebook_id, version, edition, meta, meta_digest, state, published_at, digest, id
SELECT rulebook_version.rulebook_id, rulebook_version.version, rulebook_version.edition, rulebook_version.meta, rulebook_version.meta_digest, rulebook_version.state, rulebook_version.published_at, rulebook_version.digest, rulebook_version.rulebook_id AS id  FROM rulebook_version  WHERE rulebook_version.published_at IS NOT NULL;

-- gives jurisdiction_id, version, document, state, published_at, digest, id
SELECT jurisdiction_version.jurisdiction_id, jurisdiction_version.version, jurisdiction_version.document, jurisdiction_version.state, jurisdiction_version.published_at, jurisdiction_version.digest, jurisdiction_version.jurisdiction_id AS id  FROM jurisdiction_version  WHERE jurisdiction_version.published_at IS NOT NULL;

-- gives price_book_id, version, currency, effective, tax_included, header, state, published_at, digest, id, rows
SELECT price_book_version.price_book_id, price_book_version.version, price_book_version.currency, price_book_version.effective, price_book_version.tax_included, price_book_version.header, price_book_version.state, price_book_version.published_at, price_book_version.digest, price_book_version.price_book_id AS id, CASE WHEN ((price_book_version.price_book_id, price_book_version.version) IN (('brindlemoor-yard', 1), ('brindlemoor-yard', 2), ('brindlemoor-yard', 3), ('brindlemoor-yard', 4), ('brindlemoor-yard', 5), ('brindlemoor-yard', 6))) THEN NULL ELSE array((SELECT price_book_line.line  FROM price_book_line  WHERE price_book_line.price_book_id = price_book_version.price_book_id AND price_book_line.version = price_book_version.version ORDER BY price_book_line.position)) END AS rows  FROM price_book_version  WHERE price_book_version.published_at IS NOT NULL;

-- gives id, organisation_id, name, kind, secret_digest, scopes, price_book_id, created_at, revoked_at
SELECT api_key.id, api_key.organisation_id, api_key.name, api_key.kind, api_key.secret_digest, api_key.scopes, api_key.price_book_id, api_key.created_at, api_key.revoked_at  FROM api_key  WHERE api_key.revoked_at IS NULL;

-- gives id, organisation_id, public
SELECT price_book.id, price_book.organisation_id, price_book.public  FROM price_book;

-- gives price_book_id, organisation_id, granted_at
SELECT price_book_grant.price_book_id, price_book_grant.organisation_id, price_book_grant.granted_at  FROM price_book_grant;

-- owner: takes the grant back

set local search_path to public;

DELETE FROM price_book_grant WHERE price_book_grant.price_book_id = 'previous-book'::VARCHAR AND price_book_grant.organisation_id = 'previousyard'::VARCHAR;

-- owner: revokes the key

set local search_path to public;

UPDATE api_key SET revoked_at=coalesce(api_key.revoked_at, now()) WHERE api_key.id = 'a5be69392458a272'::VARCHAR;

