import { type Kysely, type Migration, Migrator, sql } from 'kysely';
import type { Database, Tables } from './tables.ts';

const LASTING = 'entries of the log book are never changed or taken out';
const ONE_ON = 'the head of a log book only moves on by one';

/** Text is compared by its bytes, so that both kinds of database sort sites alike. */
const textType = (kind: Database['kind']) => (kind === 'sqlite' ? sql`text` : sql`text collate "C"`);

/** What the database itself refuses, in SQLite's words. `insert or replace` deletes without a delete trigger, so the third stands before inserts. */
const SQLITE_TRIGGERS = [
  `create trigger if not exists entries_update before update on entries begin select raise(abort, '${LASTING}'); end`,
  `create trigger if not exists entries_delete before delete on entries begin select raise(abort, '${LASTING}'); end`,
  `create trigger if not exists entries_insert before insert on entries
     when exists (select 1 from entries where id = new.id or (site = new.site and seq = new.seq))
     begin select raise(abort, '${LASTING}'); end`,
  `create trigger if not exists heads_update before update on heads
     when new.site <> old.site or new.seq <> old.seq + 1 begin select raise(abort, '${ONE_ON}'); end`,
  `create trigger if not exists heads_delete before delete on heads begin select raise(abort, '${ONE_ON}'); end`,
];

const POSTGRES_TRIGGERS = [
  `create or replace function entries_last() returns trigger language plpgsql as
     $$ begin raise exception '${LASTING}'; end $$`,
  `create or replace function heads_move_on() returns trigger language plpgsql as
     $$ begin
       if tg_op = 'UPDATE' and new.site = old.site and new.seq = old.seq + 1 then return new; end if;
       raise exception '${ONE_ON}';
     end $$`,
  `create or replace trigger entries_change before update or delete on entries for each row execute function entries_last()`,
  `create or replace trigger entries_truncate before truncate on entries for each statement execute function entries_last()`,
  `create or replace trigger heads_change before update or delete on heads for each row execute function heads_move_on()`,
];

function logBook(kind: Database['kind']): Migration {
  const text = textType(kind);
  return {
    // Every step may meet its own work: two programs may open a new book at once.
    async up(db: Kysely<unknown>) {
      await db.schema
        .createTable('heads')
        .ifNotExists()
        .addColumn('site', text, (column) => column.primaryKey())
        .addColumn('seq', 'integer', (column) => column.notNull())
        .addColumn('hash', 'text')
        .execute();
      await db.schema
        .createTable('entries')
        .ifNotExists()
        .addColumn('id', 'text', (column) => column.primaryKey())
        .addColumn('site', text, (column) => column.notNull().references('heads.site'))
        .addColumn('seq', 'integer', (column) => column.notNull())
        .addColumn('entry', 'text', (column) => column.notNull())
        .addUniqueConstraint('entries_site_seq', ['site', 'seq'])
        .execute();
      for (const trigger of kind === 'sqlite' ? SQLITE_TRIGGERS : POSTGRES_TRIGGERS) await sql.raw(trigger).execute(db);
    },
  };
}

function people(kind: Database['kind']): Migration {
  const text = textType(kind);
  return {
    async up(db: Kysely<unknown>) {
      await db.schema
        .createTable('people')
        .ifNotExists()
        .addColumn('id', text, (column) => column.primaryKey())
        .addColumn('name', 'text', (column) => column.notNull())
        .addColumn('role', 'text', (column) => column.notNull())
        .addColumn('password', 'text', (column) => column.notNull())
        .addColumn('added', 'text', (column) => column.notNull())
        .execute();
      await db.schema
        .createTable('sessions')
        .ifNotExists()
        .addColumn('token', 'text', (column) => column.primaryKey())
        .addColumn('person', text, (column) => column.notNull().references('people.id').onDelete('cascade'))
        .addColumn('ends', text, (column) => column.notNull())
        .execute();
      await db.schema
        .createTable('secrets')
        .ifNotExists()
        .addColumn('name', 'text', (column) => column.primaryKey())
        .addColumn('secret', 'text', (column) => column.notNull())
        .execute();
    },
  };
}

const RECORD_LASTS = 'the record of people is never changed or taken out';
const RECORD_ONE_ON = 'the head of the record of people only moves on by one';

const SQLITE_RECORD_TRIGGERS = [
  `create trigger if not exists people_events_update before update on people_events
     begin select raise(abort, '${RECORD_LASTS}'); end`,
  `create trigger if not exists people_events_delete before delete on people_events
     begin select raise(abort, '${RECORD_LASTS}'); end`,
  `create trigger if not exists people_events_insert before insert on people_events
     when exists (select 1 from people_events where seq = new.seq) begin select raise(abort, '${RECORD_LASTS}'); end`,
  `create trigger if not exists people_head_update before update on people_head
     when new.id <> old.id or new.seq <> old.seq + 1 begin select raise(abort, '${RECORD_ONE_ON}'); end`,
  `create trigger if not exists people_head_delete before delete on people_head
     begin select raise(abort, '${RECORD_ONE_ON}'); end`,
];

const POSTGRES_RECORD_TRIGGERS = [
  `create or replace function people_events_last() returns trigger language plpgsql as
     $$ begin raise exception '${RECORD_LASTS}'; end $$`,
  `create or replace function people_head_moves_on() returns trigger language plpgsql as
     $$ begin
       if tg_op = 'UPDATE' and new.id = old.id and new.seq = old.seq + 1 then return new; end if;
       raise exception '${RECORD_ONE_ON}';
     end $$`,
  `create or replace trigger people_events_change before update or delete on people_events
     for each row execute function people_events_last()`,
  `create or replace trigger people_events_truncate before truncate on people_events
     for each statement execute function people_events_last()`,
  `create or replace trigger people_head_change before update or delete on people_head
     for each row execute function people_head_moves_on()`,
];

/** The record of people; tokens; and sessions that can be listed, for which everybody signs in once more. */
function peopleRecord(kind: Database['kind']): Migration {
  const text = textType(kind);
  return {
    async up(db: Kysely<unknown>) {
      await db.schema
        .createTable('people_head')
        .ifNotExists()
        .addColumn('id', 'integer', (column) => column.primaryKey())
        .addColumn('seq', 'integer', (column) => column.notNull())
        .addColumn('hash', 'text')
        .execute();
      await db.schema
        .createTable('people_events')
        .ifNotExists()
        .addColumn('seq', 'integer', (column) => column.primaryKey())
        .addColumn('event', 'text', (column) => column.notNull())
        .execute();
      await db.schema
        .createTable('refused_sign_ins')
        .ifNotExists()
        .addColumn('hour', text, (column) => column.notNull())
        .addColumn('person', text, (column) => column.notNull())
        .addColumn('count', 'integer', (column) => column.notNull())
        .addPrimaryKeyConstraint('refused_sign_ins_key', ['hour', 'person'])
        .execute();
      await db.schema.dropTable('sessions').ifExists().execute();
      await db.schema
        .createTable('sessions')
        .ifNotExists()
        .addColumn('token', 'text', (column) => column.primaryKey())
        .addColumn('id', 'text', (column) => column.notNull().unique())
        .addColumn('person', text, (column) => column.notNull().references('people.id').onDelete('cascade'))
        .addColumn('began', text, (column) => column.notNull())
        .addColumn('seen', text, (column) => column.notNull())
        .addColumn('ends', text, (column) => column.notNull())
        .addColumn('agent', 'text', (column) => column.notNull())
        .addColumn('must_change', 'integer', (column) => column.notNull())
        .execute();
      await db.schema
        .createTable('tokens')
        .ifNotExists()
        .addColumn('token', 'text', (column) => column.primaryKey())
        .addColumn('person', text, (column) => column.notNull().references('people.id').onDelete('cascade'))
        .addColumn('name', text, (column) => column.notNull())
        .addColumn('role', 'text', (column) => column.notNull())
        .addColumn('made', 'text', (column) => column.notNull())
        .addUniqueConstraint('tokens_person_name', ['person', 'name'])
        .execute();
      for (const trigger of kind === 'sqlite' ? SQLITE_RECORD_TRIGGERS : POSTGRES_RECORD_TRIGGERS)
        await sql.raw(trigger).execute(db);
    },
  };
}

/** Brings a database up to date; throws what went wrong. */
export async function migrate(db: Kysely<Tables>, kind: Database['kind']): Promise<void> {
  const migrations = {
    '0001-log-book': logBook(kind),
    '0002-people': people(kind),
    '0003-people-chain': peopleRecord(kind),
  };
  const migrator = new Migrator({ db, provider: { getMigrations: async () => migrations } });
  const { error } = await migrator.migrateToLatest();
  if (error) throw error;
}
