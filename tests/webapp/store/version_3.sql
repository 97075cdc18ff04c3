PRAGMA application_id=1148613740;
PRAGMA user_version=3;
BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0003');
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
CREATE TABLE item (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	kind TEXT NOT NULL, 
	section TEXT NOT NULL, 
	size INTEGER, 
	material TEXT NOT NULL, 
	name TEXT NOT NULL, 
	minimum_stock INTEGER NOT NULL, 
	version INTEGER NOT NULL, 
	CONSTRAINT uq_item_name UNIQUE (name), 
	CONSTRAINT ck_item_kind CHECK (kind IN ('key', 'plug', 'glue')), 
	CONSTRAINT ck_item_size CHECK (size > 0), 
	CONSTRAINT ck_item_glue CHECK ((kind = 'glue') = (size IS NULL)), 
	CONSTRAINT ck_item_name CHECK (name <> ''), 
	CONSTRAINT ck_item_minimum_stock CHECK (minimum_stock >= 0), 
	CONSTRAINT ck_item_version CHECK (version >= 1)
)
 STRICT

;
INSERT INTO "item" VALUES(1,'key','14',16000000,'','key 14 × 16',50,1);
CREATE TABLE movement (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	item_id INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	on_hand INTEGER NOT NULL, 
	reserved INTEGER NOT NULL, 
	needed INTEGER NOT NULL, 
	project_id INTEGER, 
	order_line_id INTEGER, 
	counted INTEGER, 
	note TEXT NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT ck_movement_project_id CHECK (project_id >= 1), 
	CONSTRAINT ck_movement_counted CHECK (counted >= 0), 
	CONSTRAINT ck_movement_order_line_id CHECK (order_line_id IS NULL OR kind = 'received'), 
	CONSTRAINT ck_movement_kind CHECK ((kind = 'received' AND on_hand > 0 AND reserved = 0 AND needed = 0) OR (kind = 'used' AND on_hand < 0 AND reserved <= 0 AND needed = 0) OR (kind = 'returned' AND on_hand > 0 AND reserved >= 0 AND needed = 0) OR (kind = 'counted' AND reserved = 0 AND needed = 0) OR (kind = 'adjusted' AND on_hand <> 0 AND reserved = 0 AND needed = 0) OR (kind = 'reserved' AND on_hand = 0 AND reserved >= 0 AND needed > 0) OR (kind = 'released' AND on_hand = 0 AND reserved <= 0 AND needed < 0)), 
	CONSTRAINT ck_movement_project CHECK ((kind IN ('used', 'returned', 'reserved', 'released')) = (project_id IS NOT NULL)), 
	CONSTRAINT ck_movement_count CHECK ((kind = 'counted') = (counted IS NOT NULL)), 
	CONSTRAINT fk_movement_item_id_item FOREIGN KEY(item_id) REFERENCES item (id), 
	CONSTRAINT fk_movement_order_line_id_order_line FOREIGN KEY(order_line_id) REFERENCES order_line (id)
)
 STRICT

;
INSERT INTO "movement" VALUES(1,1,'received',100,0,0,NULL,1,NULL,'','2026-03-02T08:30:00.000000Z');
CREATE TABLE offer (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	item_id INTEGER NOT NULL, 
	supplier_id INTEGER NOT NULL, 
	size INTEGER NOT NULL, 
	article TEXT NOT NULL, 
	lead_days INTEGER NOT NULL, 
	withdrawn INTEGER NOT NULL, 
	version INTEGER NOT NULL, 
	CONSTRAINT uq_offer_item_id_supplier_id_size UNIQUE (item_id, supplier_id, size), 
	CONSTRAINT ck_offer_size CHECK (size >= 1), 
	CONSTRAINT ck_offer_lead_days CHECK (lead_days >= 0), 
	CONSTRAINT ck_offer_withdrawn CHECK (withdrawn IN (0, 1)), 
	CONSTRAINT ck_offer_version CHECK (version >= 1), 
	CONSTRAINT fk_offer_item_id_item FOREIGN KEY(item_id) REFERENCES item (id), 
	CONSTRAINT fk_offer_supplier_id_supplier FOREIGN KEY(supplier_id) REFERENCES supplier (id)
)
 STRICT

;
INSERT INTO "offer" VALUES(1,1,1,100,'K14-16/100',5,0,1);
CREATE TABLE offer_price (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	offer_id INTEGER NOT NULL, 
	from_day TEXT NOT NULL, 
	price_minor INTEGER NOT NULL, 
	currency TEXT NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT ck_offer_price_from_day CHECK (length(from_day) = 10), 
	CONSTRAINT ck_offer_price_price_minor CHECK (price_minor >= 0), 
	CONSTRAINT ck_offer_price_currency CHECK (length(currency) = 3), 
	CONSTRAINT fk_offer_price_offer_id_offer FOREIGN KEY(offer_id) REFERENCES offer (id)
)
 STRICT

;
INSERT INTO "offer_price" VALUES(1,1,'2026-03-02',1290,'EUR','2026-03-02T08:30:00.000000Z');
CREATE TABLE order_end (
	order_id INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_order_end PRIMARY KEY (order_id), 
	CONSTRAINT fk_order_end_order_id_placed_order FOREIGN KEY(order_id) REFERENCES placed_order (id)
)
 STRICT

;
INSERT INTO "order_end" VALUES(1,'2026-03-02T08:30:00.000000Z');
CREATE TABLE order_line (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	order_id INTEGER NOT NULL, 
	position INTEGER NOT NULL, 
	item_id INTEGER NOT NULL, 
	size INTEGER NOT NULL, 
	packs INTEGER NOT NULL, 
	price_minor INTEGER NOT NULL, 
	article TEXT NOT NULL, 
	lead_days INTEGER NOT NULL, 
	due TEXT NOT NULL, 
	CONSTRAINT uq_order_line_order_id_position UNIQUE (order_id, position), 
	CONSTRAINT ck_order_line_position CHECK (position >= 1), 
	CONSTRAINT ck_order_line_size CHECK (size >= 1), 
	CONSTRAINT ck_order_line_packs CHECK (packs >= 1), 
	CONSTRAINT ck_order_line_price_minor CHECK (price_minor >= 0), 
	CONSTRAINT ck_order_line_lead_days CHECK (lead_days >= 0), 
	CONSTRAINT ck_order_line_due CHECK (length(due) = 10), 
	CONSTRAINT fk_order_line_order_id_placed_order FOREIGN KEY(order_id) REFERENCES placed_order (id), 
	CONSTRAINT fk_order_line_item_id_item FOREIGN KEY(item_id) REFERENCES item (id)
)
 STRICT

;
INSERT INTO "order_line" VALUES(1,1,1,1,100,2,1290,'K14-16/100',5,'2026-03-07');
CREATE TABLE order_project (
	order_id INTEGER NOT NULL, 
	project_id INTEGER NOT NULL, 
	project_name TEXT NOT NULL, 
	CONSTRAINT pk_order_project PRIMARY KEY (order_id, project_id), 
	CONSTRAINT ck_order_project_project_name CHECK (project_name <> ''), 
	CONSTRAINT fk_order_project_order_id_placed_order FOREIGN KEY(order_id) REFERENCES placed_order (id)
)
 STRICT

;
INSERT INTO "order_project" VALUES(1,1,'Window seat');
CREATE TABLE placed_order (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	number INTEGER NOT NULL, 
	supplier_id INTEGER NOT NULL, 
	supplier_name TEXT NOT NULL, 
	currency TEXT NOT NULL, 
	shipping_minor INTEGER NOT NULL, 
	note TEXT NOT NULL, 
	placed_at TEXT NOT NULL, 
	CONSTRAINT uq_placed_order_number UNIQUE (number), 
	CONSTRAINT ck_placed_order_number CHECK (number >= 1), 
	CONSTRAINT ck_placed_order_supplier_name CHECK (supplier_name <> ''), 
	CONSTRAINT ck_placed_order_currency CHECK (length(currency) = 3), 
	CONSTRAINT ck_placed_order_shipping_minor CHECK (shipping_minor >= 0), 
	CONSTRAINT fk_placed_order_supplier_id_supplier FOREIGN KEY(supplier_id) REFERENCES supplier (id)
)
 STRICT

;
INSERT INTO "placed_order" VALUES(1,1,1,'North','EUR',690,'','2026-03-02T08:30:00.000000Z');
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
	updated TEXT NOT NULL, stage TEXT DEFAULT 'planned' NOT NULL CONSTRAINT ck_project_stage CHECK (stage IN ('planned', 'going_ahead', 'built')), 
	CONSTRAINT ck_project_name CHECK (name <> ''), 
	CONSTRAINT ck_project_units CHECK (units IN ('mm', 'in')), 
	CONSTRAINT ck_project_currency CHECK (length(currency) = 3), 
	CONSTRAINT ck_project_version CHECK (version >= 1)
)
 STRICT

;
INSERT INTO "project" VALUES(1,'Everything','Ålund & søn','in','SEK','[{"name":"14","waist":11.2,"half_depth":6,"flank":12.0,"tip_diameter":13.815,"oversize_tip_diameter":null,"lengths":[16,22,38],"drive_limit":60,"stock_from":14,"stock_to":40,"reach_limit":40}]','{"wall":2.38125,"skin":1.5,"web":2,"preload":0.1,"squeeze_limit":0.25,"recess":0.5,"least_recess":0.3,"plug_proud":0.5,"stroke":85,"setting_step":0.5,"scale_tip_diameter":null,"hold_target":0.8,"test_joints":1,"spare":0.1,"glue_spread":200.0,"kerf":3.2,"change_minutes":{"cutter":10.0,"projection":5.0,"fence":4.0,"fence_reading":1.0,"depth_stop":1.0,"clamp_height":0.5}}','{"section":"14"}',2,'2026-03-02T08:30:00.000000Z','2026-03-02T08:30:00.000000Z','planned');
INSERT INTO "project" VALUES(2,'Window seat','Ms Ålund','mm',NULL,NULL,NULL,NULL,1,'2026-03-02T08:30:00.000000Z','2026-03-02T08:30:00.000000Z','planned');
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
CREATE TABLE supplier (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	name TEXT NOT NULL, 
	currency TEXT NOT NULL, 
	shipping_minor INTEGER NOT NULL, 
	minimum_order_minor INTEGER NOT NULL, 
	version INTEGER NOT NULL, 
	CONSTRAINT uq_supplier_name UNIQUE (name), 
	CONSTRAINT ck_supplier_name CHECK (name <> ''), 
	CONSTRAINT ck_supplier_currency CHECK (length(currency) = 3), 
	CONSTRAINT ck_supplier_shipping_minor CHECK (shipping_minor >= 0), 
	CONSTRAINT ck_supplier_minimum_order_minor CHECK (minimum_order_minor >= 0), 
	CONSTRAINT ck_supplier_version CHECK (version >= 1)
)
 STRICT

;
INSERT INTO "supplier" VALUES(1,'North','EUR',690,2500,1);
CREATE INDEX ix_form_token_at ON form_token (at);
CREATE TRIGGER issue_no_update BEFORE UPDATE ON issue BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END;
CREATE TRIGGER issue_no_delete BEFORE DELETE ON issue BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END;
CREATE TRIGGER issued_document_no_update BEFORE UPDATE ON issued_document BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END;
CREATE TRIGGER issued_document_no_delete BEFORE DELETE ON issued_document BEGIN SELECT RAISE(ABORT, 'what was issued stays as it is'); END;
CREATE TRIGGER issue_in_turn BEFORE INSERT ON issue WHEN NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM issue WHERE project_id = NEW.project_id) BEGIN SELECT RAISE(ABORT, 'revisions are numbered one after the other'); END;
CREATE INDEX ix_offer_supplier_id ON offer (supplier_id);
CREATE INDEX ix_offer_price_offer_id_from_day ON offer_price (offer_id, from_day);
CREATE INDEX ix_order_line_item_id ON order_line (item_id);
CREATE INDEX ix_movement_sums ON movement (item_id, project_id, kind, on_hand, reserved, needed);
CREATE INDEX ix_movement_project_id_item_id ON movement (project_id, item_id);
CREATE INDEX ix_movement_order_line_id_on_hand ON movement (order_line_id, on_hand);
CREATE TRIGGER offer_price_no_update BEFORE UPDATE ON offer_price BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER offer_price_no_delete BEFORE DELETE ON offer_price BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER placed_order_no_update BEFORE UPDATE ON placed_order BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER placed_order_no_delete BEFORE DELETE ON placed_order BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER order_line_no_update BEFORE UPDATE ON order_line BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER order_line_no_delete BEFORE DELETE ON order_line BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER order_project_no_update BEFORE UPDATE ON order_project BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER order_project_no_delete BEFORE DELETE ON order_project BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER order_end_no_update BEFORE UPDATE ON order_end BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER order_end_no_delete BEFORE DELETE ON order_end BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER movement_no_update BEFORE UPDATE ON movement BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER movement_no_delete BEFORE DELETE ON movement BEGIN SELECT RAISE(ABORT, 'what is booked stays as it is'); END;
CREATE TRIGGER placed_order_in_turn BEFORE INSERT ON placed_order WHEN NEW.number <> (SELECT coalesce(max(number), 0) + 1 FROM placed_order) BEGIN SELECT RAISE(ABORT, 'orders are numbered one after the other'); END;
CREATE TRIGGER movement_on_hand BEFORE INSERT ON movement WHEN NEW.on_hand < 0 AND (SELECT coalesce(sum(on_hand), 0) FROM movement WHERE item_id = NEW.item_id) + NEW.on_hand < 0 BEGIN SELECT RAISE(ABORT, 'on hand cannot go below 0'); END;
CREATE TRIGGER movement_counted BEFORE INSERT ON movement WHEN NEW.counted IS NOT NULL AND (SELECT coalesce(sum(on_hand), 0) FROM movement WHERE item_id = NEW.item_id) + NEW.on_hand <> NEW.counted BEGIN SELECT RAISE(ABORT, 'on hand is what was counted'); END;
CREATE TRIGGER movement_reserved BEFORE INSERT ON movement WHEN NEW.reserved < 0 AND (SELECT coalesce(sum(reserved), 0) FROM movement WHERE item_id = NEW.item_id AND project_id = NEW.project_id) + NEW.reserved < 0 BEGIN SELECT RAISE(ABORT, 'reserved cannot go below 0'); END;
CREATE TRIGGER movement_needed BEFORE INSERT ON movement WHEN NEW.needed < 0 AND (SELECT coalesce(sum(needed), 0) FROM movement WHERE item_id = NEW.item_id AND project_id = NEW.project_id) + NEW.needed < 0 BEGIN SELECT RAISE(ABORT, 'needed cannot go below 0'); END;
CREATE TRIGGER movement_returned BEFORE INSERT ON movement WHEN NEW.kind = 'returned' AND (SELECT coalesce(sum(on_hand), 0) FROM movement WHERE item_id = NEW.item_id AND project_id = NEW.project_id) + NEW.on_hand > 0 BEGIN SELECT RAISE(ABORT, 'no more comes back than was used'); END;
CREATE TRIGGER movement_order_line BEFORE INSERT ON movement WHEN NEW.order_line_id IS NOT NULL AND ((SELECT coalesce(sum(on_hand), 0) FROM movement WHERE order_line_id = NEW.order_line_id) + NEW.on_hand > (SELECT size * packs FROM order_line WHERE id = NEW.order_line_id) OR NEW.item_id <> (SELECT item_id FROM order_line WHERE id = NEW.order_line_id)) BEGIN SELECT RAISE(ABORT, 'no more is received than was ordered'); END;
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('project',3);
INSERT INTO "sqlite_sequence" VALUES('assembly',7);
INSERT INTO "sqlite_sequence" VALUES('section',2);
INSERT INTO "sqlite_sequence" VALUES('plug',1);
INSERT INTO "sqlite_sequence" VALUES('issue',3);
INSERT INTO "sqlite_sequence" VALUES('item',1);
INSERT INTO "sqlite_sequence" VALUES('supplier',1);
INSERT INTO "sqlite_sequence" VALUES('offer',1);
INSERT INTO "sqlite_sequence" VALUES('offer_price',1);
INSERT INTO "sqlite_sequence" VALUES('placed_order',1);
INSERT INTO "sqlite_sequence" VALUES('order_line',1);
INSERT INTO "sqlite_sequence" VALUES('movement',1);
COMMIT;
