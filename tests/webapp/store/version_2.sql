PRAGMA application_id=1148613740;
PRAGMA user_version=2;
BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0002');
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
INSERT INTO "assembly" VALUES(1,1,0,'A','mitred_frame','{"kind":"mitred_frame","mark":"A","quantity":3,"keys":{"section":"14","plug":{"material":"wenge","height":3}},"joints":{"J1":{"count":2,"plug":null}},"measure":"rabbet","width":400.05,"height":300,"stock":{"width":45,"thickness":20,"rabbet_width":6,"rabbet_depth":10,"front":[[0,20],[30,20],[45,12]]}}',1);
INSERT INTO "assembly" VALUES(2,1,1,'B','railed_frame','{"kind":"railed_frame","mark":"B","width":600,"height":720,"thickness":20,"stile":45,"top_rail":45,"bottom_rail":60,"mid_rail":38,"rows":[{"opening":140},{"opening":"rest","columns":[200.025,"rest"]}],"panel":{"fit":"groove","depth":10,"width":6,"thickness":6}}',1);
INSERT INTO "assembly" VALUES(3,1,2,'C','box','{"kind":"box","mark":"C","measure":"inside","length":280,"width":180,"height":90,"wall":12,"corner":"mitre","bottom":{"fit":"rabbet","thickness":5,"depth":5},"lid":{"height":30,"kerf":2,"lip":6,"clearance":0.1}}',1);
INSERT INTO "assembly" VALUES(4,1,3,'D','carcass','{"kind":"carcass","mark":"D","width":800,"height":900,"depth":350,"thickness":18,"corner":"top_over","shelves":[300,600],"back":{"fit":"groove","thickness":6,"depth":8}}',1);
INSERT INTO "assembly" VALUES(5,1,4,'E','loose_joint','{"kind":"loose_joint","mark":"E","breadth":63.64,"run":20,"angle":45.0,"behind":[60,60]}',1);
INSERT INTO "assembly" VALUES(6,2,0,'A','loose_joint','{"kind":"loose_joint","mark":"A","breadth":60,"run":20,"behind":[60,60]}',1);
INSERT INTO "assembly" VALUES(7,2,1,'B','loose_joint','{"kind":"loose_joint","mark":"B","quantity":3,"breadth":60,"run":20,"behind":[60,60]}',1);
CREATE TABLE form_token (
	token TEXT NOT NULL, 
	outcome TEXT NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_form_token PRIMARY KEY (token), 
	CONSTRAINT ck_form_token_token CHECK (token <> '')
)
 STRICT

;
INSERT INTO "form_token" VALUES('a-form-token-0001','/','2026-03-02T08:30:00.000000Z');
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
INSERT INTO "issue" VALUES(1,1,1,'Everything','Ålund & søn','2026-03-03T09:15:00.000000Z','0.1.0','abababababababababababababababababababababababababababababababab','{"name":"Everything","revision":1}','065df7f722c1c782e554b62d23ab1d0128ae2e3e0d1f1eefb4d7a277e9dfdc55');
INSERT INTO "issue" VALUES(2,1,2,'Everything','Ålund & søn','2026-03-04T09:15:00.000000Z','0.1.0','abababababababababababababababababababababababababababababababab','{"name":"Everything","revision":2}','9625b7771c654e5f4219b6b6a78578f74fd7a9d55e5c0c19f6f3f06384cc6379');
INSERT INTO "issue" VALUES(3,3,1,'Gone by now',NULL,'2026-03-05T09:15:00.000000Z','0.1.0','abababababababababababababababababababababababababababababababab','{"name":"Gone by now","revision":1}','ed56c0a87e78d37c27f154728ad3c2e9b995ba3731cb0c7db814f83ae8dff591');
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
INSERT INTO "issued_document" VALUES(1,'schedule','A4','ed5acd50baed190c486e75045d8c986f6aaff56b07a9c7e281c48020cb960f5f',X'255044462D312E37207363686564756C65203100FF');
INSERT INTO "issued_document" VALUES(1,'labels','Letter','4fc0a8c18aa68960baa573f4d2cef49f9585ed2eceaf853d7b4f942e03edc921',X'255044462D312E37206C6162656C73203100FF');
INSERT INTO "issued_document" VALUES(2,'schedule','A4','71d294ef0dfb72897f1327bc3092074ec7e6b1c13f40a6de7f27115d27ea3cb3',X'255044462D312E37207363686564756C65203200FF');
INSERT INTO "issued_document" VALUES(2,'labels','Letter','c416a1db39fd7c4c0e17f06149002d800636b0c0a321c027c79fe6abb7ad663b',X'255044462D312E37206C6162656C73203200FF');
INSERT INTO "issued_document" VALUES(3,'schedule','A4','c2c05c3d242b900545b6a1f170c43947bf4c1a18d32d28a3d77b9c363a26622b',X'255044462D312E37207363686564756C65203300FF');
INSERT INTO "issued_document" VALUES(3,'labels','Letter','9d2a249232783bbf2f58fcce54397e6c7e886aed1985fb96ac9ee8f8b73014b0',X'255044462D312E37206C6162656C73203300FF');
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
INSERT INTO "plug" VALUES(1,'oak',3000000,5,1);
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
INSERT INTO "project" VALUES(1,'Everything','Ålund & søn','in','SEK','[{"name":"14","waist":11.2,"half_depth":6,"flank":12.0,"tip_diameter":13.815,"oversize_tip_diameter":null,"lengths":[16,22,38],"drive_limit":60,"stock_from":14,"stock_to":40,"reach_limit":40}]','{"wall":2.38125,"skin":1.5,"web":2,"preload":0.1,"squeeze_limit":0.25,"recess":0.5,"least_recess":0.3,"plug_proud":0.5,"stroke":85,"setting_step":0.5,"scale_tip_diameter":null,"hold_target":0.8,"test_joints":1,"spare":0.1,"glue_spread":200.0,"kerf":3.2,"change_minutes":{"cutter":10.0,"projection":5.0,"fence":4.0,"fence_reading":1.0,"depth_stop":1.0,"clamp_height":0.5}}','{"section":"14"}',2,'2026-03-02T08:30:00.000000Z','2026-03-02T08:30:00.000000Z');
INSERT INTO "project" VALUES(2,'Window seat','Ms Ålund','mm',NULL,NULL,NULL,NULL,1,'2026-03-02T08:30:00.000000Z','2026-03-02T08:30:00.000000Z');
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
INSERT INTO "section" VALUES(1,0,'14',11200000,6000000,12000000,13815000,NULL,60000000,14000000,40000000,40000000,1);
INSERT INTO "section" VALUES(2,1,'10',8000000,6000000,12000000,10200000,NULL,60000000,14000000,40000000,40000000,1);
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
INSERT INTO "section_length" VALUES(1,16000000,12);
INSERT INTO "section_length" VALUES(1,22000000,NULL);
INSERT INTO "section_length" VALUES(1,38000000,NULL);
INSERT INTO "section_length" VALUES(2,16000000,NULL);
INSERT INTO "section_length" VALUES(2,22000000,NULL);
INSERT INTO "section_length" VALUES(2,38000000,NULL);
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
INSERT INTO "shop" VALUES(1,'','mm','EUR','{}',1,4);
CREATE INDEX ix_form_token_at ON form_token (at);
CREATE TRIGGER issue_no_update BEFORE UPDATE ON issue BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END;
CREATE TRIGGER issue_no_delete BEFORE DELETE ON issue BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END;
CREATE TRIGGER issued_document_no_update BEFORE UPDATE ON issued_document BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END;
CREATE TRIGGER issued_document_no_delete BEFORE DELETE ON issued_document BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END;
CREATE TRIGGER issue_in_turn BEFORE INSERT ON issue WHEN NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM issue WHERE project_id = NEW.project_id) BEGIN SELECT RAISE(ABORT, 'revisions are numbered one after the other'); END;
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('project',3);
INSERT INTO "sqlite_sequence" VALUES('assembly',7);
INSERT INTO "sqlite_sequence" VALUES('section',2);
INSERT INTO "sqlite_sequence" VALUES('plug',1);
INSERT INTO "sqlite_sequence" VALUES('issue',3);
COMMIT;
