PRAGMA application_id=1148613740;
PRAGMA user_version=1;
BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0001');
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
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('project',3);
INSERT INTO "sqlite_sequence" VALUES('assembly',7);
INSERT INTO "sqlite_sequence" VALUES('section',2);
INSERT INTO "sqlite_sequence" VALUES('plug',1);
COMMIT;
