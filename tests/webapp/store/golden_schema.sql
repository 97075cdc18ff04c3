CREATE INDEX ix_form_token_at ON form_token (at)
;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL,
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
)
;
CREATE TABLE assembly (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	project_id INTEGER NOT NULL,
	position INTEGER NOT NULL,
	mark TEXT NOT NULL,
	kind TEXT NOT NULL,
	spec_json TEXT NOT NULL,
	version INTEGER NOT NULL,
	CONSTRAINT uq_assembly_project_id_mark UNIQUE (project_id, mark),
	CONSTRAINT ck_assembly_position CHECK (position >= 0),
	CONSTRAINT ck_assembly_mark CHECK (length(mark) BETWEEN 1 AND 12),
	CONSTRAINT ck_assembly_version CHECK (version >= 1),
	CONSTRAINT fk_assembly_project_id_project FOREIGN KEY(project_id) REFERENCES project (id) ON DELETE CASCADE
)
 STRICT
;
CREATE TABLE form_token (
	token TEXT NOT NULL,
	outcome TEXT NOT NULL,
	at TEXT NOT NULL,
	CONSTRAINT pk_form_token PRIMARY KEY (token),
	CONSTRAINT ck_form_token_token CHECK (token <> '')
)
 STRICT
;
CREATE TABLE issue (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	project_id INTEGER NOT NULL,
	number INTEGER NOT NULL,
	project_name TEXT NOT NULL,
	customer TEXT,
	issued_at TEXT NOT NULL,
	program TEXT NOT NULL,
	templates TEXT NOT NULL,
	snapshot TEXT NOT NULL,
	snapshot_sha256 TEXT NOT NULL,
	CONSTRAINT uq_issue_project_id_number UNIQUE (project_id, number),
	CONSTRAINT ck_issue_project_id CHECK (project_id >= 1),
	CONSTRAINT ck_issue_number CHECK (number >= 1),
	CONSTRAINT ck_issue_project_name CHECK (project_name <> ''),
	CONSTRAINT ck_issue_program CHECK (program <> ''),
	CONSTRAINT ck_issue_templates CHECK (length(templates) = 64),
	CONSTRAINT ck_issue_snapshot_sha256 CHECK (length(snapshot_sha256) = 64)
)
 STRICT
;
CREATE TABLE issued_document (
	issue_id INTEGER NOT NULL,
	kind TEXT NOT NULL,
	paper TEXT NOT NULL,
	sha256 TEXT NOT NULL,
	body BLOB NOT NULL,
	CONSTRAINT pk_issued_document PRIMARY KEY (issue_id, kind, paper),
	CONSTRAINT ck_issued_document_kind CHECK (kind <> ''),
	CONSTRAINT ck_issued_document_paper CHECK (paper <> ''),
	CONSTRAINT ck_issued_document_sha256 CHECK (length(sha256) = 64),
	CONSTRAINT ck_issued_document_body CHECK (length(body) > 0),
	CONSTRAINT fk_issued_document_issue_id_issue FOREIGN KEY(issue_id) REFERENCES issue (id)
)
 STRICT
;
CREATE TABLE plug (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	material TEXT NOT NULL,
	height INTEGER NOT NULL,
	price_minor INTEGER,
	version INTEGER NOT NULL,
	CONSTRAINT uq_plug_material_height UNIQUE (material, height),
	CONSTRAINT ck_plug_material CHECK (material <> ''),
	CONSTRAINT ck_plug_height CHECK (height > 0),
	CONSTRAINT ck_plug_price_minor CHECK (price_minor >= 0),
	CONSTRAINT ck_plug_version CHECK (version >= 1)
)
 STRICT
;
CREATE TABLE project (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	name TEXT NOT NULL,
	customer TEXT,
	units TEXT NOT NULL,
	currency TEXT,
	sections_json TEXT,
	rules_json TEXT,
	keys_json TEXT,
	version INTEGER NOT NULL,
	created TEXT NOT NULL,
	updated TEXT NOT NULL,
	CONSTRAINT ck_project_name CHECK (name <> ''),
	CONSTRAINT ck_project_units CHECK (units IN ('mm', 'in')),
	CONSTRAINT ck_project_currency CHECK (length(currency) = 3),
	CONSTRAINT ck_project_version CHECK (version >= 1)
)
 STRICT
;
CREATE TABLE section (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
	position INTEGER NOT NULL,
	name TEXT NOT NULL,
	waist INTEGER NOT NULL,
	half_depth INTEGER NOT NULL,
	flank INTEGER NOT NULL,
	tip_diameter INTEGER NOT NULL,
	oversize_tip_diameter INTEGER,
	drive_limit INTEGER NOT NULL,
	stock_from INTEGER NOT NULL,
	stock_to INTEGER NOT NULL,
	reach_limit INTEGER NOT NULL,
	version INTEGER NOT NULL,
	CONSTRAINT uq_section_name UNIQUE (name),
	CONSTRAINT ck_section_name CHECK (name <> ''),
	CONSTRAINT ck_section_waist CHECK (waist > 0),
	CONSTRAINT ck_section_half_depth CHECK (half_depth > 0),
	CONSTRAINT ck_section_flank CHECK (flank BETWEEN 1 AND 45000000),
	CONSTRAINT ck_section_tip_diameter CHECK (tip_diameter > waist),
	CONSTRAINT ck_section_oversize_tip_diameter CHECK (oversize_tip_diameter > tip_diameter),
	CONSTRAINT ck_section_drive_limit CHECK (drive_limit > 0),
	CONSTRAINT ck_section_stock CHECK (stock_from > 0 AND stock_to >= stock_from),
	CONSTRAINT ck_section_reach_limit CHECK (reach_limit > 0),
	CONSTRAINT ck_section_position CHECK (position >= 0),
	CONSTRAINT ck_section_version CHECK (version >= 1)
)
 STRICT
;
CREATE TABLE section_length (
	section_id INTEGER NOT NULL,
	length INTEGER NOT NULL,
	price_minor INTEGER,
	CONSTRAINT pk_section_length PRIMARY KEY (section_id, length),
	CONSTRAINT ck_section_length_length CHECK (length > 0),
	CONSTRAINT ck_section_length_price_minor CHECK (price_minor >= 0),
	CONSTRAINT fk_section_length_section_id_section FOREIGN KEY(section_id) REFERENCES section (id) ON DELETE CASCADE
)
 STRICT
;
CREATE TABLE shop (
	id INTEGER NOT NULL,
	name TEXT NOT NULL,
	units TEXT NOT NULL,
	currency TEXT NOT NULL,
	rules_json TEXT NOT NULL,
	version INTEGER NOT NULL,
	revision INTEGER NOT NULL,
	CONSTRAINT pk_shop PRIMARY KEY (id),
	CONSTRAINT ck_shop_one CHECK (id = 1),
	CONSTRAINT ck_shop_units CHECK (units IN ('mm', 'in')),
	CONSTRAINT ck_shop_currency CHECK (length(currency) = 3),
	CONSTRAINT ck_shop_version CHECK (version >= 1),
	CONSTRAINT ck_shop_revision CHECK (revision >= 1)
)
 STRICT
;
CREATE TABLE sqlite_sequence(name,seq)
;
CREATE TRIGGER issue_in_turn BEFORE INSERT ON issue WHEN NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM issue WHERE project_id = NEW.project_id) BEGIN SELECT RAISE(ABORT, 'revisions are numbered one after the other'); END
;
CREATE TRIGGER issue_no_delete BEFORE DELETE ON issue BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END
;
CREATE TRIGGER issue_no_update BEFORE UPDATE ON issue BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END
;
CREATE TRIGGER issued_document_no_delete BEFORE DELETE ON issued_document BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END
;
CREATE TRIGGER issued_document_no_update BEFORE UPDATE ON issued_document BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END
