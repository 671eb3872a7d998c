
-- CreateTable
CREATE TABLE "person" (
    "id" UUID NOT NULL,
    "email" TEXT NOT NULL,
    "password_hash" TEXT NOT NULL,
    "display_name" TEXT NOT NULL,
    "locale" TEXT NOT NULL DEFAULT 'en',
    "version" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "person_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "session" (
    "token_hash" BYTEA NOT NULL,
    "person_id" UUID NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "last_seen_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "expires_at" TIMESTAMPTZ(3) NOT NULL,

    CONSTRAINT "session_pkey" PRIMARY KEY ("token_hash")
);

-- CreateTable
CREATE TABLE "installation" (
    "id" INTEGER NOT NULL DEFAULT 1,
    "demo_loaded_at" TIMESTAMPTZ(3),
    "real_cooperative_at" TIMESTAMPTZ(3),

    CONSTRAINT "installation_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "cooperative" (
    "id" UUID NOT NULL,
    "name" TEXT NOT NULL,
    "currency" TEXT NOT NULL,
    "time_zone" TEXT NOT NULL,
    "locale" TEXT NOT NULL,
    "unit_system" TEXT NOT NULL,
    "is_demo" BOOLEAN NOT NULL DEFAULT false,
    "weight_scale" TEXT NOT NULL DEFAULT 'per-head',
    "child_weight" TEXT NOT NULL DEFAULT '1/2',
    "claim_ahead_portions" INTEGER NOT NULL DEFAULT 4,
    "version" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "cooperative_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "household" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "name" TEXT NOT NULL,
    "joined_on" DATE NOT NULL,
    "left_on" DATE,
    "freezer_ml" INTEGER,
    "own_weight" TEXT,
    "version" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "household_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "diner" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "household_id" UUID NOT NULL,
    "name" TEXT NOT NULL,
    "age_band" TEXT NOT NULL,
    "birth_year" INTEGER,
    "version" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "diner_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "diner_restriction" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "diner_id" UUID NOT NULL,
    "subject" TEXT NOT NULL,
    "strength" TEXT NOT NULL,
    "consent_by" UUID NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "diner_restriction_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "membership" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "person_id" UUID NOT NULL,
    "household_id" UUID NOT NULL,
    "roles" TEXT[],
    "version" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "membership_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "invitation" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "token_hash" BYTEA NOT NULL,
    "household_id" UUID NOT NULL,
    "roles" TEXT[],
    "created_by" UUID NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "expires_at" TIMESTAMPTZ(3) NOT NULL,
    "accepted_at" TIMESTAMPTZ(3),

    CONSTRAINT "invitation_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "ingredient" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "name" TEXT NOT NULL,
    "base_unit" TEXT NOT NULL,
    "density" TEXT,
    "density_source" TEXT,
    "allergens" TEXT[],
    "free_of" TEXT[],
    "tags" TEXT[],
    "version" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "ingredient_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "recipe" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "name" TEXT NOT NULL,
    "retired_at" TIMESTAMPTZ(3),
    "version" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "recipe_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "recipe_version" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "recipe_id" UUID NOT NULL,
    "number" INTEGER NOT NULL,
    "makes_quantity" TEXT NOT NULL,
    "makes_unit" TEXT NOT NULL,
    "portions" INTEGER,
    "container_plan" JSONB NOT NULL,
    "months" INTEGER NOT NULL,
    "months_source" TEXT NOT NULL,
    "pot_litres" TEXT,
    "notes" TEXT NOT NULL DEFAULT '',
    "steps" JSONB NOT NULL,
    "allergens" TEXT[],
    "unfit_for" TEXT[],
    "created_by" UUID NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "recipe_version_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "recipe_line" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "recipe_version_id" UUID NOT NULL,
    "position" INTEGER NOT NULL,
    "ingredient_id" UUID,
    "component_version_id" UUID,
    "quantity" TEXT NOT NULL,
    "unit" TEXT NOT NULL,
    "edible_yield" TEXT,
    "note" TEXT NOT NULL DEFAULT '',

    CONSTRAINT "recipe_line_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "round" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "number" INTEGER NOT NULL,
    "stage" TEXT NOT NULL DEFAULT 'planning',
    "dinners" INTEGER NOT NULL,
    "plan_until" DATE NOT NULL,
    "buy_on" DATE NOT NULL,
    "cook_on" DATE NOT NULL,
    "share_on" DATE NOT NULL,
    "swap_until" DATE NOT NULL,
    "settle_on" DATE NOT NULL,
    "settled_at" TIMESTAMPTZ(3),
    "version" INTEGER NOT NULL DEFAULT 1,
    "created_by" UUID NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "round_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "round_participant" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "round_id" UUID NOT NULL,
    "household_id" UUID NOT NULL,
    "from_date" DATE NOT NULL,
    "weight" TEXT NOT NULL,
    "diners" INTEGER NOT NULL,
    "must_not" TEXT[],
    "rather_not" TEXT[],
    "reason" TEXT NOT NULL DEFAULT '',
    "created_by" UUID NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "round_participant_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "round_dish" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "round_id" UUID NOT NULL,
    "recipe_version_id" UUID NOT NULL,
    "batches" INTEGER NOT NULL,

    CONSTRAINT "round_dish_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "seller" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "name" TEXT NOT NULL,
    "fee_minor" BIGINT NOT NULL DEFAULT 0,
    "version" INTEGER NOT NULL DEFAULT 1,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "seller_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "offer" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "seller_id" UUID NOT NULL,
    "ingredient_id" UUID NOT NULL,
    "label" TEXT NOT NULL,
    "pack_quantity" TEXT NOT NULL,
    "pack_unit" TEXT NOT NULL,
    "price_minor" BIGINT NOT NULL,
    "catch_weight" BOOLEAN NOT NULL DEFAULT false,
    "valid_from" DATE NOT NULL,
    "valid_to" DATE,
    "created_by" UUID NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "offer_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "purchase" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "round_id" UUID NOT NULL,
    "offer_id" UUID NOT NULL,
    "packs" INTEGER NOT NULL,
    "planned_minor" BIGINT NOT NULL,
    "needed" TEXT NOT NULL,
    "bought_at" TIMESTAMPTZ(3),
    "bought_by" UUID,
    "version" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "purchase_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "receipt" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "round_id" UUID NOT NULL,
    "seller_id" UUID NOT NULL,
    "paid_by_household_id" UUID NOT NULL,
    "bought_on" DATE NOT NULL,
    "total_minor" BIGINT NOT NULL,
    "note" TEXT NOT NULL DEFAULT '',
    "created_by" UUID NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "receipt_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "receipt_line" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "receipt_id" UUID NOT NULL,
    "position" INTEGER NOT NULL,
    "kind" TEXT NOT NULL,
    "purchase_id" UUID,
    "ingredient_id" UUID,
    "corrects_line_id" UUID,
    "label" TEXT NOT NULL,
    "packs" INTEGER,
    "actual_quantity" TEXT,
    "unit" TEXT,
    "amount_minor" BIGINT NOT NULL,
    "shares" JSONB NOT NULL,
    "amounts" JSONB NOT NULL,

    CONSTRAINT "receipt_line_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "cost_carry" (
    "cooperative_id" UUID NOT NULL,
    "household_id" UUID NOT NULL,
    "carried" TEXT NOT NULL,

    CONSTRAINT "cost_carry_pkey" PRIMARY KEY ("cooperative_id","household_id")
);

-- CreateTable
CREATE TABLE "cook_day" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "round_id" UUID NOT NULL,
    "date" DATE NOT NULL,
    "starts_at" TEXT NOT NULL,
    "kitchen_household_id" UUID NOT NULL,
    "version" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "cook_day_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "turn" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "cook_day_id" UUID NOT NULL,
    "household_id" UUID NOT NULL,
    "state" TEXT NOT NULL DEFAULT 'published',

    CONSTRAINT "turn_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "batch" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "round_id" UUID NOT NULL,
    "recipe_version_id" UUID NOT NULL,
    "lot_code" TEXT NOT NULL,
    "planned_portions" INTEGER NOT NULL,
    "state" TEXT NOT NULL DEFAULT 'planned',
    "actual_portions" INTEGER,
    "frozen_on" DATE,
    "note" TEXT NOT NULL DEFAULT '',
    "version" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "batch_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "container" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "batch_id" UUID NOT NULL,
    "number" INTEGER NOT NULL,
    "portions" INTEGER NOT NULL,
    "millilitres" INTEGER,
    "best_before" DATE NOT NULL,
    "holder_household_id" UUID,
    "state" TEXT NOT NULL DEFAULT 'sealed',
    "place" TEXT NOT NULL DEFAULT '',
    "ended_at" TIMESTAMPTZ(3),
    "ended_reason" TEXT,
    "version" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "container_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "share_out" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "round_id" UUID NOT NULL,
    "state" TEXT NOT NULL DEFAULT 'proposed',
    "input" JSONB NOT NULL,
    "result" JSONB NOT NULL,
    "assigned" JSONB NOT NULL,
    "proof" TEXT NOT NULL,
    "created_by" UUID NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "confirmed_by" UUID,
    "confirmed_at" TIMESTAMPTZ(3),
    "version" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "share_out_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "claim" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "container_id" UUID NOT NULL,
    "household_id" UUID NOT NULL,
    "state" TEXT NOT NULL,
    "balance_after" BIGINT,
    "ahead_limit" BIGINT,
    "created_by" UUID NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "ended_at" TIMESTAMPTZ(3),

    CONSTRAINT "claim_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "exclusion_confirmed" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "container_id" UUID NOT NULL,
    "household_id" UUID NOT NULL,
    "subjects" TEXT[],
    "words" TEXT NOT NULL,
    "created_by" UUID NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "exclusion_confirmed_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "swap" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "from_household_id" UUID NOT NULL,
    "to_household_id" UUID NOT NULL,
    "state" TEXT NOT NULL DEFAULT 'proposed',
    "words" TEXT NOT NULL DEFAULT '',
    "open_until" TIMESTAMPTZ(3) NOT NULL,
    "created_by" UUID NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "answered_by" UUID,
    "answered_at" TIMESTAMPTZ(3),
    "version" INTEGER NOT NULL DEFAULT 1,

    CONSTRAINT "swap_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "swap_part" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "swap_id" UUID NOT NULL,
    "container_id" UUID NOT NULL,
    "giver_household_id" UUID NOT NULL,
    "receiver_household_id" UUID NOT NULL,

    CONSTRAINT "swap_part_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "account" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "book" TEXT NOT NULL,
    "kind" TEXT NOT NULL,
    "household_id" UUID,
    "balance" BIGINT NOT NULL DEFAULT 0,

    CONSTRAINT "account_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "entry" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "book" TEXT NOT NULL,
    "kind" TEXT NOT NULL,
    "reason" TEXT NOT NULL,
    "facts" JSONB NOT NULL DEFAULT '{}',
    "document_id" UUID,
    "round_id" UUID,
    "reverses_id" UUID,
    "occurred_on" DATE NOT NULL,
    "created_by" UUID NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "entry_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "posting" (
    "cooperative_id" UUID NOT NULL,
    "id" UUID NOT NULL,
    "entry_id" UUID NOT NULL,
    "account_id" UUID NOT NULL,
    "amount" BIGINT NOT NULL,
    "facts" JSONB NOT NULL DEFAULT '{}',

    CONSTRAINT "posting_pkey" PRIMARY KEY ("cooperative_id","id")
);

-- CreateTable
CREATE TABLE "idempotency_key" (
    "cooperative_id" UUID NOT NULL,
    "person_id" UUID NOT NULL,
    "key" TEXT NOT NULL,
    "request_hash" TEXT NOT NULL,
    "answer" JSONB NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "idempotency_key_pkey" PRIMARY KEY ("cooperative_id","person_id","key")
);

-- CreateTable
CREATE TABLE "outbox" (
    "cooperative_id" UUID NOT NULL,
    "seq" BIGSERIAL NOT NULL,
    "topic" TEXT NOT NULL,
    "subject_id" UUID,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "outbox_pkey" PRIMARY KEY ("cooperative_id","seq")
);

-- CreateIndex
CREATE UNIQUE INDEX "person_email_key" ON "person"("email");

-- CreateIndex
CREATE INDEX "session_person_id_idx" ON "session"("person_id");

-- CreateIndex
CREATE UNIQUE INDEX "household_cooperative_id_name_key" ON "household"("cooperative_id", "name");

-- CreateIndex
CREATE INDEX "diner_cooperative_id_household_id_idx" ON "diner"("cooperative_id", "household_id");

-- CreateIndex
CREATE UNIQUE INDEX "diner_restriction_cooperative_id_diner_id_subject_key" ON "diner_restriction"("cooperative_id", "diner_id", "subject");

-- CreateIndex
CREATE INDEX "membership_person_id_idx" ON "membership"("person_id");

-- CreateIndex
CREATE UNIQUE INDEX "membership_cooperative_id_person_id_key" ON "membership"("cooperative_id", "person_id");

-- CreateIndex
CREATE UNIQUE INDEX "invitation_cooperative_id_token_hash_key" ON "invitation"("cooperative_id", "token_hash");

-- CreateIndex
CREATE UNIQUE INDEX "ingredient_cooperative_id_name_key" ON "ingredient"("cooperative_id", "name");

-- CreateIndex
CREATE UNIQUE INDEX "recipe_cooperative_id_name_key" ON "recipe"("cooperative_id", "name");

-- CreateIndex
CREATE UNIQUE INDEX "recipe_version_cooperative_id_recipe_id_number_key" ON "recipe_version"("cooperative_id", "recipe_id", "number");

-- CreateIndex
CREATE UNIQUE INDEX "recipe_line_cooperative_id_recipe_version_id_position_key" ON "recipe_line"("cooperative_id", "recipe_version_id", "position");

-- CreateIndex
CREATE UNIQUE INDEX "round_cooperative_id_number_key" ON "round"("cooperative_id", "number");

-- CreateIndex
CREATE UNIQUE INDEX "round_participant_cooperative_id_round_id_household_id_from_key" ON "round_participant"("cooperative_id", "round_id", "household_id", "from_date");

-- CreateIndex
CREATE UNIQUE INDEX "round_dish_cooperative_id_round_id_recipe_version_id_key" ON "round_dish"("cooperative_id", "round_id", "recipe_version_id");

-- CreateIndex
CREATE UNIQUE INDEX "seller_cooperative_id_name_key" ON "seller"("cooperative_id", "name");

-- CreateIndex
CREATE INDEX "offer_cooperative_id_ingredient_id_idx" ON "offer"("cooperative_id", "ingredient_id");

-- CreateIndex
CREATE UNIQUE INDEX "purchase_cooperative_id_round_id_offer_id_key" ON "purchase"("cooperative_id", "round_id", "offer_id");

-- CreateIndex
CREATE INDEX "receipt_cooperative_id_round_id_idx" ON "receipt"("cooperative_id", "round_id");

-- CreateIndex
CREATE UNIQUE INDEX "receipt_line_cooperative_id_receipt_id_position_key" ON "receipt_line"("cooperative_id", "receipt_id", "position");

-- CreateIndex
CREATE UNIQUE INDEX "cook_day_cooperative_id_round_id_date_key" ON "cook_day"("cooperative_id", "round_id", "date");

-- CreateIndex
CREATE UNIQUE INDEX "turn_cooperative_id_cook_day_id_household_id_key" ON "turn"("cooperative_id", "cook_day_id", "household_id");

-- CreateIndex
CREATE INDEX "batch_cooperative_id_round_id_idx" ON "batch"("cooperative_id", "round_id");

-- CreateIndex
CREATE UNIQUE INDEX "batch_cooperative_id_lot_code_key" ON "batch"("cooperative_id", "lot_code");

-- CreateIndex
CREATE INDEX "container_cooperative_id_holder_household_id_best_before_idx" ON "container"("cooperative_id", "holder_household_id", "best_before");

-- CreateIndex
CREATE UNIQUE INDEX "container_cooperative_id_batch_id_number_key" ON "container"("cooperative_id", "batch_id", "number");

-- CreateIndex
CREATE INDEX "claim_cooperative_id_container_id_idx" ON "claim"("cooperative_id", "container_id");

-- CreateIndex
CREATE INDEX "exclusion_confirmed_cooperative_id_container_id_household_i_idx" ON "exclusion_confirmed"("cooperative_id", "container_id", "household_id");

-- CreateIndex
CREATE UNIQUE INDEX "swap_part_cooperative_id_swap_id_container_id_key" ON "swap_part"("cooperative_id", "swap_id", "container_id");

-- CreateIndex
CREATE INDEX "entry_cooperative_id_round_id_idx" ON "entry"("cooperative_id", "round_id");

-- CreateIndex
CREATE UNIQUE INDEX "entry_cooperative_id_reverses_id_key" ON "entry"("cooperative_id", "reverses_id");

-- CreateIndex
CREATE INDEX "posting_cooperative_id_account_id_idx" ON "posting"("cooperative_id", "account_id");

-- CreateIndex
CREATE INDEX "posting_cooperative_id_entry_id_idx" ON "posting"("cooperative_id", "entry_id");

-- AddForeignKey
ALTER TABLE "session" ADD CONSTRAINT "session_person_id_fkey" FOREIGN KEY ("person_id") REFERENCES "person"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "household" ADD CONSTRAINT "household_cooperative_id_fkey" FOREIGN KEY ("cooperative_id") REFERENCES "cooperative"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "diner" ADD CONSTRAINT "diner_cooperative_id_household_id_fkey" FOREIGN KEY ("cooperative_id", "household_id") REFERENCES "household"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "diner_restriction" ADD CONSTRAINT "diner_restriction_cooperative_id_diner_id_fkey" FOREIGN KEY ("cooperative_id", "diner_id") REFERENCES "diner"("cooperative_id", "id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "membership" ADD CONSTRAINT "membership_person_id_fkey" FOREIGN KEY ("person_id") REFERENCES "person"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "membership" ADD CONSTRAINT "membership_cooperative_id_household_id_fkey" FOREIGN KEY ("cooperative_id", "household_id") REFERENCES "household"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "invitation" ADD CONSTRAINT "invitation_cooperative_id_household_id_fkey" FOREIGN KEY ("cooperative_id", "household_id") REFERENCES "household"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "ingredient" ADD CONSTRAINT "ingredient_cooperative_id_fkey" FOREIGN KEY ("cooperative_id") REFERENCES "cooperative"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "recipe" ADD CONSTRAINT "recipe_cooperative_id_fkey" FOREIGN KEY ("cooperative_id") REFERENCES "cooperative"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "recipe_version" ADD CONSTRAINT "recipe_version_cooperative_id_recipe_id_fkey" FOREIGN KEY ("cooperative_id", "recipe_id") REFERENCES "recipe"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "recipe_line" ADD CONSTRAINT "recipe_line_cooperative_id_recipe_version_id_fkey" FOREIGN KEY ("cooperative_id", "recipe_version_id") REFERENCES "recipe_version"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "recipe_line" ADD CONSTRAINT "recipe_line_cooperative_id_component_version_id_fkey" FOREIGN KEY ("cooperative_id", "component_version_id") REFERENCES "recipe_version"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "recipe_line" ADD CONSTRAINT "recipe_line_cooperative_id_ingredient_id_fkey" FOREIGN KEY ("cooperative_id", "ingredient_id") REFERENCES "ingredient"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "round" ADD CONSTRAINT "round_cooperative_id_fkey" FOREIGN KEY ("cooperative_id") REFERENCES "cooperative"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "round_participant" ADD CONSTRAINT "round_participant_cooperative_id_round_id_fkey" FOREIGN KEY ("cooperative_id", "round_id") REFERENCES "round"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "round_participant" ADD CONSTRAINT "round_participant_cooperative_id_household_id_fkey" FOREIGN KEY ("cooperative_id", "household_id") REFERENCES "household"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "round_dish" ADD CONSTRAINT "round_dish_cooperative_id_round_id_fkey" FOREIGN KEY ("cooperative_id", "round_id") REFERENCES "round"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "round_dish" ADD CONSTRAINT "round_dish_cooperative_id_recipe_version_id_fkey" FOREIGN KEY ("cooperative_id", "recipe_version_id") REFERENCES "recipe_version"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "seller" ADD CONSTRAINT "seller_cooperative_id_fkey" FOREIGN KEY ("cooperative_id") REFERENCES "cooperative"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "offer" ADD CONSTRAINT "offer_cooperative_id_seller_id_fkey" FOREIGN KEY ("cooperative_id", "seller_id") REFERENCES "seller"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "offer" ADD CONSTRAINT "offer_cooperative_id_ingredient_id_fkey" FOREIGN KEY ("cooperative_id", "ingredient_id") REFERENCES "ingredient"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "purchase" ADD CONSTRAINT "purchase_cooperative_id_offer_id_fkey" FOREIGN KEY ("cooperative_id", "offer_id") REFERENCES "offer"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "purchase" ADD CONSTRAINT "purchase_cooperative_id_round_id_fkey" FOREIGN KEY ("cooperative_id", "round_id") REFERENCES "round"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "receipt" ADD CONSTRAINT "receipt_cooperative_id_round_id_fkey" FOREIGN KEY ("cooperative_id", "round_id") REFERENCES "round"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "receipt" ADD CONSTRAINT "receipt_cooperative_id_seller_id_fkey" FOREIGN KEY ("cooperative_id", "seller_id") REFERENCES "seller"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "receipt" ADD CONSTRAINT "receipt_cooperative_id_paid_by_household_id_fkey" FOREIGN KEY ("cooperative_id", "paid_by_household_id") REFERENCES "household"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "receipt_line" ADD CONSTRAINT "receipt_line_cooperative_id_receipt_id_fkey" FOREIGN KEY ("cooperative_id", "receipt_id") REFERENCES "receipt"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "receipt_line" ADD CONSTRAINT "receipt_line_cooperative_id_purchase_id_fkey" FOREIGN KEY ("cooperative_id", "purchase_id") REFERENCES "purchase"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "receipt_line" ADD CONSTRAINT "receipt_line_cooperative_id_corrects_line_id_fkey" FOREIGN KEY ("cooperative_id", "corrects_line_id") REFERENCES "receipt_line"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "cost_carry" ADD CONSTRAINT "cost_carry_cooperative_id_household_id_fkey" FOREIGN KEY ("cooperative_id", "household_id") REFERENCES "household"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "cook_day" ADD CONSTRAINT "cook_day_cooperative_id_round_id_fkey" FOREIGN KEY ("cooperative_id", "round_id") REFERENCES "round"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "cook_day" ADD CONSTRAINT "cook_day_cooperative_id_kitchen_household_id_fkey" FOREIGN KEY ("cooperative_id", "kitchen_household_id") REFERENCES "household"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "turn" ADD CONSTRAINT "turn_cooperative_id_cook_day_id_fkey" FOREIGN KEY ("cooperative_id", "cook_day_id") REFERENCES "cook_day"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "turn" ADD CONSTRAINT "turn_cooperative_id_household_id_fkey" FOREIGN KEY ("cooperative_id", "household_id") REFERENCES "household"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "batch" ADD CONSTRAINT "batch_cooperative_id_round_id_fkey" FOREIGN KEY ("cooperative_id", "round_id") REFERENCES "round"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "batch" ADD CONSTRAINT "batch_cooperative_id_recipe_version_id_fkey" FOREIGN KEY ("cooperative_id", "recipe_version_id") REFERENCES "recipe_version"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "container" ADD CONSTRAINT "container_cooperative_id_batch_id_fkey" FOREIGN KEY ("cooperative_id", "batch_id") REFERENCES "batch"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "container" ADD CONSTRAINT "container_cooperative_id_holder_household_id_fkey" FOREIGN KEY ("cooperative_id", "holder_household_id") REFERENCES "household"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "share_out" ADD CONSTRAINT "share_out_cooperative_id_round_id_fkey" FOREIGN KEY ("cooperative_id", "round_id") REFERENCES "round"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "claim" ADD CONSTRAINT "claim_cooperative_id_container_id_fkey" FOREIGN KEY ("cooperative_id", "container_id") REFERENCES "container"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "claim" ADD CONSTRAINT "claim_cooperative_id_household_id_fkey" FOREIGN KEY ("cooperative_id", "household_id") REFERENCES "household"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "exclusion_confirmed" ADD CONSTRAINT "exclusion_confirmed_cooperative_id_household_id_fkey" FOREIGN KEY ("cooperative_id", "household_id") REFERENCES "household"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "exclusion_confirmed" ADD CONSTRAINT "exclusion_confirmed_cooperative_id_container_id_fkey" FOREIGN KEY ("cooperative_id", "container_id") REFERENCES "container"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "swap" ADD CONSTRAINT "swap_cooperative_id_from_household_id_fkey" FOREIGN KEY ("cooperative_id", "from_household_id") REFERENCES "household"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "swap" ADD CONSTRAINT "swap_cooperative_id_to_household_id_fkey" FOREIGN KEY ("cooperative_id", "to_household_id") REFERENCES "household"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "swap_part" ADD CONSTRAINT "swap_part_cooperative_id_swap_id_fkey" FOREIGN KEY ("cooperative_id", "swap_id") REFERENCES "swap"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "swap_part" ADD CONSTRAINT "swap_part_cooperative_id_container_id_fkey" FOREIGN KEY ("cooperative_id", "container_id") REFERENCES "container"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "account" ADD CONSTRAINT "account_cooperative_id_household_id_fkey" FOREIGN KEY ("cooperative_id", "household_id") REFERENCES "household"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "entry" ADD CONSTRAINT "entry_cooperative_id_reverses_id_fkey" FOREIGN KEY ("cooperative_id", "reverses_id") REFERENCES "entry"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "posting" ADD CONSTRAINT "posting_cooperative_id_entry_id_fkey" FOREIGN KEY ("cooperative_id", "entry_id") REFERENCES "entry"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "posting" ADD CONSTRAINT "posting_cooperative_id_account_id_fkey" FOREIGN KEY ("cooperative_id", "account_id") REFERENCES "account"("cooperative_id", "id") ON DELETE RESTRICT ON UPDATE CASCADE;



-- ---------------------------------------------------------------------------------------------------------------------
-- From here on written by hand: what Prisma's schema cannot say.

-- The API connects as a role that owns nothing; whoever runs the migrations gives it its password.
DO $$ BEGIN
  IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'frostmoot_app') THEN CREATE ROLE frostmoot_app NOLOGIN; END IF;
END $$;
GRANT USAGE ON SCHEMA public TO frostmoot_app;

-- Who asks, for row-level security: set per transaction by the one unit of work.
CREATE FUNCTION current_cooperative() RETURNS uuid LANGUAGE sql STABLE AS
  $$ SELECT nullif(current_setting('app.cooperative_id', true), '')::uuid $$;
CREATE FUNCTION current_person() RETURNS uuid LANGUAGE sql STABLE AS
  $$ SELECT nullif(current_setting('app.person_id', true), '')::uuid $$;

-- What must hold row by row.
INSERT INTO installation (id) VALUES (1);
ALTER TABLE installation ADD CONSTRAINT installation_one_row CHECK (id = 1);
ALTER TABLE person ADD CONSTRAINT person_email_lower CHECK (email = lower(email));
ALTER TABLE person ADD CONSTRAINT person_locale CHECK (locale IN ('en', 'es', 'ar'));
ALTER TABLE cooperative
  ADD CONSTRAINT cooperative_currency CHECK (currency ~ '^[A-Z]{3}$'),
  ADD CONSTRAINT cooperative_unit_system CHECK (unit_system IN ('metric', 'us', 'imperial')),
  ADD CONSTRAINT cooperative_weight_scale CHECK (weight_scale IN ('per-head', 'energy', 'own')),
  ADD CONSTRAINT cooperative_claim_ahead CHECK (claim_ahead_portions BETWEEN 0 AND 50);
ALTER TABLE household
  ADD CONSTRAINT household_dates CHECK (left_on IS NULL OR left_on >= joined_on),
  ADD CONSTRAINT household_freezer CHECK (freezer_ml >= 0);
ALTER TABLE diner ADD CONSTRAINT diner_age_band CHECK (age_band IN ('adult', 'child'));
ALTER TABLE diner_restriction ADD CONSTRAINT diner_restriction_strength CHECK (strength IN ('hard', 'wish'));
ALTER TABLE membership ADD CONSTRAINT membership_roles
  CHECK (cardinality(roles) > 0 AND roles <@ ARRAY['coordinator', 'buyer', 'adult', 'reader']);
ALTER TABLE ingredient
  ADD CONSTRAINT ingredient_base_unit CHECK (base_unit IN ('g', 'mL', 'each')),
  ADD CONSTRAINT ingredient_density_source CHECK ((density IS NULL) = (density_source IS NULL)),
  ADD CONSTRAINT ingredient_declared CHECK (NOT allergens && free_of);
ALTER TABLE recipe_version
  ADD CONSTRAINT recipe_version_number CHECK (number >= 1),
  ADD CONSTRAINT recipe_version_portions CHECK (portions > 0),
  ADD CONSTRAINT recipe_version_months CHECK (months BETWEEN 1 AND 24);
ALTER TABLE recipe_line ADD CONSTRAINT recipe_line_one_source CHECK ((ingredient_id IS NULL) <> (component_version_id IS NULL));
ALTER TABLE round
  ADD CONSTRAINT round_stage CHECK (stage IN ('planning', 'buying', 'cooking', 'sharing', 'settled')),
  ADD CONSTRAINT round_dinners CHECK (dinners > 0),
  ADD CONSTRAINT round_dates CHECK (plan_until <= buy_on AND buy_on <= cook_on AND cook_on <= share_on AND share_on <= swap_until AND swap_until <= settle_on),
  ADD CONSTRAINT round_settled CHECK ((stage = 'settled') = (settled_at IS NOT NULL));
ALTER TABLE round_dish ADD CONSTRAINT round_dish_batches CHECK (batches > 0);
ALTER TABLE seller ADD CONSTRAINT seller_fee CHECK (fee_minor >= 0);
ALTER TABLE offer
  ADD CONSTRAINT offer_price CHECK (price_minor >= 0),
  ADD CONSTRAINT offer_dates CHECK (valid_to IS NULL OR valid_to >= valid_from);
ALTER TABLE purchase ADD CONSTRAINT purchase_packs CHECK (packs > 0), ADD CONSTRAINT purchase_planned CHECK (planned_minor >= 0);
ALTER TABLE receipt_line
  ADD CONSTRAINT receipt_line_kind CHECK (kind IN ('goods', 'fee', 'adjustment', 'refund')),
  ADD CONSTRAINT receipt_line_corrects CHECK ((kind IN ('adjustment', 'refund')) = (corrects_line_id IS NOT NULL)),
  ADD CONSTRAINT receipt_line_sign CHECK (kind IN ('adjustment', 'refund') OR amount_minor >= 0);
-- A line is refunded at most once.
CREATE UNIQUE INDEX receipt_line_refunded_once ON receipt_line (cooperative_id, corrects_line_id) WHERE kind = 'refund';
ALTER TABLE turn ADD CONSTRAINT turn_state CHECK (state IN ('planned', 'published', 'swapped', 'covered', 'done'));
ALTER TABLE batch
  ADD CONSTRAINT batch_state CHECK (state IN ('planned', 'made', 'thrown-away')),
  ADD CONSTRAINT batch_made CHECK ((state = 'made') = (coalesce(actual_portions, 0) > 0) AND (state = 'planned') = (actual_portions IS NULL)),
  ADD CONSTRAINT batch_frozen CHECK (state <> 'made' OR frozen_on IS NOT NULL);
ALTER TABLE container
  ADD CONSTRAINT container_portions CHECK (portions > 0),
  ADD CONSTRAINT container_millilitres CHECK (millilitres > 0),
  ADD CONSTRAINT container_state CHECK (state IN ('sealed', 'eaten', 'thrown-away', 'lost', 'recalled')),
  ADD CONSTRAINT container_ended CHECK ((state = 'sealed') = (ended_at IS NULL));
ALTER TABLE share_out
  ADD CONSTRAINT share_out_state CHECK (state IN ('proposed', 'confirmed', 'superseded')),
  ADD CONSTRAINT share_out_confirmed CHECK ((state = 'confirmed') = (confirmed_at IS NOT NULL)),
  ADD CONSTRAINT share_out_proof CHECK (proof IN ('optimal', 'bounded', 'constructive'));
CREATE UNIQUE INDEX share_out_one_confirmed ON share_out (cooperative_id, round_id) WHERE state = 'confirmed';
CREATE UNIQUE INDEX share_out_one_proposed ON share_out (cooperative_id, round_id) WHERE state = 'proposed';
ALTER TABLE claim
  ADD CONSTRAINT claim_state CHECK (state IN ('held', 'claimed', 'released', 'collected', 'lapsed')),
  ADD CONSTRAINT claim_ended CHECK ((state IN ('released', 'lapsed')) = (ended_at IS NOT NULL)),
  ADD CONSTRAINT claim_within_limit CHECK (balance_after >= -ahead_limit);
CREATE UNIQUE INDEX claim_one_live ON claim (cooperative_id, container_id) WHERE ended_at IS NULL;
ALTER TABLE swap
  ADD CONSTRAINT swap_state CHECK (state IN ('proposed', 'accepted', 'declined', 'withdrawn', 'lapsed', 'done')),
  ADD CONSTRAINT swap_two_households CHECK (from_household_id <> to_household_id);
ALTER TABLE swap_part ADD CONSTRAINT swap_part_two_households CHECK (giver_household_id <> receiver_household_id);
ALTER TABLE account
  ADD CONSTRAINT account_kind CHECK ((book = 'money' AND kind IN ('household', 'stock', 'fund', 'outside')) OR (book = 'portions' AND kind IN ('household', 'common'))),
  ADD CONSTRAINT account_household CHECK ((kind = 'household') = (household_id IS NOT NULL));
CREATE UNIQUE INDEX account_of_household ON account (cooperative_id, book, household_id) WHERE household_id IS NOT NULL;
CREATE UNIQUE INDEX account_of_all ON account (cooperative_id, book, kind) WHERE household_id IS NULL;
ALTER TABLE entry
  ADD CONSTRAINT entry_kind CHECK (kind IN ('receipt-paid', 'cost-split', 'adjustment', 'payment', 'write-off', 'opening', 'share-out', 'claim', 'release', 'swap', 'loss', 'reversal')),
  ADD CONSTRAINT entry_book CHECK (book IN ('money', 'portions')),
  ADD CONSTRAINT entry_reversal CHECK ((kind = 'reversal') = (reverses_id IS NOT NULL));

-- The books: entries balance at commit, balances follow the postings, nothing is changed or deleted.
CREATE FUNCTION entry_must_balance() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE total numeric; lines int; which uuid;
BEGIN
  -- An IF, since the row of one table does not have the column of the other.
  IF TG_TABLE_NAME = 'entry' THEN which := NEW.id; ELSE which := NEW.entry_id; END IF;
  SELECT coalesce(sum(amount), 0), count(*) INTO total, lines FROM posting WHERE cooperative_id = NEW.cooperative_id AND entry_id = which;
  IF total <> 0 OR lines = 0 THEN
    RAISE EXCEPTION 'entry % does not balance: % in % postings', which, total, lines USING ERRCODE = '23514', CONSTRAINT = 'entry_balances';
  END IF;
  RETURN NULL;
END $$;
-- On both tables, since an entry without postings and a posting added to an old entry are both wrong.
CREATE CONSTRAINT TRIGGER entry_balances AFTER INSERT ON entry DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION entry_must_balance();
CREATE CONSTRAINT TRIGGER posting_balances AFTER INSERT ON posting DEFERRABLE INITIALLY DEFERRED FOR EACH ROW EXECUTE FUNCTION entry_must_balance();

CREATE FUNCTION posting_moves_balance() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  UPDATE account SET balance = balance + NEW.amount WHERE cooperative_id = NEW.cooperative_id AND id = NEW.account_id;
  IF NOT FOUND THEN RAISE EXCEPTION 'no account %', NEW.account_id USING ERRCODE = '23503'; END IF;
  IF (SELECT a.book <> e.book FROM account a, entry e
      WHERE a.cooperative_id = NEW.cooperative_id AND a.id = NEW.account_id AND e.cooperative_id = NEW.cooperative_id AND e.id = NEW.entry_id) THEN
    RAISE EXCEPTION 'posting mixes two books' USING ERRCODE = '23514', CONSTRAINT = 'posting_one_book';
  END IF;
  RETURN NULL;
END $$;
CREATE TRIGGER posting_balance AFTER INSERT ON posting FOR EACH ROW EXECUTE FUNCTION posting_moves_balance();

CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION '% is append-only', TG_TABLE_NAME USING ERRCODE = '23514', CONSTRAINT = TG_TABLE_NAME || '_append_only';
END $$;
CREATE TRIGGER entry_append_only BEFORE UPDATE OR DELETE ON entry FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER posting_append_only BEFORE UPDATE OR DELETE ON posting FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER receipt_append_only BEFORE UPDATE OR DELETE ON receipt FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER receipt_line_append_only BEFORE UPDATE OR DELETE ON receipt_line FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER recipe_version_append_only BEFORE UPDATE OR DELETE ON recipe_version FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER recipe_line_append_only BEFORE UPDATE OR DELETE ON recipe_line FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER round_participant_append_only BEFORE UPDATE OR DELETE ON round_participant FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER exclusion_confirmed_append_only BEFORE UPDATE OR DELETE ON exclusion_confirmed FOR EACH ROW EXECUTE FUNCTION refuse_change();

-- A round's stage never moves back; a confirmed share-out stays as it is.
CREATE FUNCTION round_moves_forward() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE stages CONSTANT text[] := ARRAY['planning', 'buying', 'cooking', 'sharing', 'settled'];
BEGIN
  IF array_position(stages, NEW.stage) NOT IN (array_position(stages, OLD.stage), array_position(stages, OLD.stage) + 1) THEN
    RAISE EXCEPTION 'a round moves one stage forward at a time' USING ERRCODE = '23514', CONSTRAINT = 'round_moves_forward';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER round_moves_forward BEFORE UPDATE ON round FOR EACH ROW EXECUTE FUNCTION round_moves_forward();
CREATE FUNCTION share_out_stays() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF OLD.state <> 'proposed' THEN
    RAISE EXCEPTION 'a share-out that is confirmed or superseded stays as it is' USING ERRCODE = '23514', CONSTRAINT = 'share_out_stays';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER share_out_stays BEFORE UPDATE OR DELETE ON share_out FOR EACH ROW EXECUTE FUNCTION share_out_stays();
-- An offer's price and pack never change; only its end may be set.
CREATE FUNCTION offer_only_ends() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF (to_jsonb(NEW) - 'valid_to') <> (to_jsonb(OLD) - 'valid_to') THEN
    RAISE EXCEPTION 'an offer is followed by another, not changed' USING ERRCODE = '23514', CONSTRAINT = 'offer_only_ends';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER offer_only_ends BEFORE UPDATE ON offer FOR EACH ROW EXECUTE FUNCTION offer_only_ends();

-- The live stream: one channel for all, told at commit.
CREATE FUNCTION outbox_tells() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  PERFORM pg_notify('frostmoot', NEW.cooperative_id || ' ' || NEW.seq || ' ' || NEW.topic || ' ' || coalesce(NEW.subject_id::text, ''));
  RETURN NULL;
END $$;
CREATE TRIGGER outbox_tells AFTER INSERT ON outbox FOR EACH ROW EXECUTE FUNCTION outbox_tells();

-- Row-level security on every tenant table, for its owner too.
DO $$
DECLARE t text;
BEGIN
  FOREACH t IN ARRAY ARRAY['household', 'diner', 'diner_restriction', 'invitation', 'ingredient', 'recipe', 'recipe_version', 'recipe_line',
    'round', 'round_participant', 'round_dish', 'seller', 'offer', 'purchase', 'receipt', 'receipt_line', 'cost_carry', 'cook_day', 'turn', 'batch',
    'container', 'share_out', 'claim', 'exclusion_confirmed', 'swap', 'swap_part', 'account', 'entry', 'posting', 'idempotency_key', 'outbox', 'membership'] LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', t);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', t);
    EXECUTE format('CREATE POLICY of_cooperative ON %I USING (cooperative_id = current_cooperative()) WITH CHECK (cooperative_id = current_cooperative())', t);
    EXECUTE format('GRANT SELECT, INSERT, UPDATE, DELETE ON %I TO frostmoot_app', t);
  END LOOP;
END $$;
ALTER TABLE cooperative ENABLE ROW LEVEL SECURITY;
ALTER TABLE cooperative FORCE ROW LEVEL SECURITY;
CREATE POLICY of_cooperative ON cooperative USING (id = current_cooperative()) WITH CHECK (id = current_cooperative());
-- A person may find the places where they are a member before one is chosen.
CREATE POLICY of_person ON membership FOR SELECT USING (person_id = current_person());
CREATE POLICY of_member ON cooperative FOR SELECT USING (id IN (SELECT m.cooperative_id FROM membership m WHERE m.person_id = current_person()));
CREATE POLICY of_member ON household FOR SELECT
  USING (EXISTS (SELECT FROM membership m WHERE m.person_id = current_person() AND m.cooperative_id = household.cooperative_id AND m.household_id = household.id));
GRANT SELECT, INSERT, UPDATE ON cooperative TO frostmoot_app;
GRANT SELECT, INSERT, UPDATE, DELETE ON person, session TO frostmoot_app;
GRANT SELECT, UPDATE ON installation TO frostmoot_app;
GRANT USAGE ON ALL SEQUENCES IN SCHEMA public TO frostmoot_app;
-- What is append-only is so by right as well.
REVOKE UPDATE, DELETE ON entry, posting, receipt, receipt_line, recipe_version, recipe_line, round_participant, exclusion_confirmed, outbox FROM frostmoot_app;
REVOKE DELETE ON round, batch, share_out, claim, swap, swap_part, account, offer, recipe, household, cost_carry, purchase FROM frostmoot_app;
REVOKE UPDATE ON account FROM frostmoot_app;
-- SELECT ... FOR UPDATE and the balance trigger need this one column.
GRANT UPDATE (balance) ON account TO frostmoot_app;

-- What must always be true of the data, as rows that break it; empty after every test. Row-level security applies to whoever reads it.
CREATE VIEW broken_invariant WITH (security_invoker = true) AS
  SELECT cooperative_id, 'entry-balances' AS rule, entry_id AS subject FROM posting GROUP BY cooperative_id, entry_id HAVING sum(amount) <> 0
  UNION ALL
  SELECT e.cooperative_id, 'entry-has-postings', e.id FROM entry e
    WHERE NOT EXISTS (SELECT FROM posting p WHERE p.cooperative_id = e.cooperative_id AND p.entry_id = e.id)
  UNION ALL
  SELECT a.cooperative_id, 'balance-is-sum-of-postings', a.id FROM account a
    WHERE a.balance <> (SELECT coalesce(sum(p.amount), 0) FROM posting p WHERE p.cooperative_id = a.cooperative_id AND p.account_id = a.id)
  UNION ALL
  SELECT b.cooperative_id, 'batch-portions-in-containers', b.id FROM batch b
    WHERE coalesce(b.actual_portions, 0) <> (SELECT coalesce(sum(c.portions), 0) FROM container c WHERE c.cooperative_id = b.cooperative_id AND c.batch_id = b.id)
  UNION ALL
  SELECT r.cooperative_id, 'receipt-is-sum-of-lines', r.id FROM receipt r
    WHERE r.total_minor <> (SELECT coalesce(sum(l.amount_minor), 0) FROM receipt_line l WHERE l.cooperative_id = r.cooperative_id AND l.receipt_id = r.id)
  UNION ALL
  SELECT l.cooperative_id, 'split-sums-to-line', l.id FROM receipt_line l
    WHERE l.amount_minor <> (SELECT coalesce(sum(v.value::numeric), 0) FROM jsonb_each_text(l.amounts) v)
  UNION ALL
  SELECT c.cooperative_id, 'live-claim-is-holder', c.id FROM claim cl JOIN container c ON c.cooperative_id = cl.cooperative_id AND c.id = cl.container_id
    WHERE cl.ended_at IS NULL AND c.holder_household_id IS DISTINCT FROM cl.household_id
  UNION ALL
  SELECT c.cooperative_id, 'held-container-has-claim', c.id FROM container c
    WHERE c.holder_household_id IS NOT NULL
      AND NOT EXISTS (SELECT FROM claim cl WHERE cl.cooperative_id = c.cooperative_id AND cl.container_id = c.id AND cl.household_id = c.holder_household_id AND cl.ended_at IS NULL)
  UNION ALL
  -- What somebody must not eat as the round counted it, or as it was known when the household got the container; what is learnt later breaks nothing.
  SELECT c.cooperative_id, 'holder-may-eat', c.id FROM container c
    JOIN claim cl ON cl.cooperative_id = c.cooperative_id AND cl.container_id = c.id AND cl.ended_at IS NULL
    JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
    JOIN recipe_version v ON v.cooperative_id = b.cooperative_id AND v.id = b.recipe_version_id
    CROSS JOIN LATERAL (
      SELECT array_agg(x.subject) AS subjects FROM (
        SELECT unnest(p.must_not) AS subject FROM (
          SELECT p.must_not FROM round_participant p WHERE p.cooperative_id = b.cooperative_id AND p.round_id = b.round_id
            AND p.household_id = c.holder_household_id ORDER BY p.from_date DESC LIMIT 1) p
        UNION
        SELECT r.subject FROM diner d JOIN diner_restriction r ON r.cooperative_id = d.cooperative_id AND r.diner_id = d.id
          WHERE d.cooperative_id = c.cooperative_id AND d.household_id = c.holder_household_id AND r.strength = 'hard' AND r.created_at < cl.created_at) x
      WHERE x.subject = ANY (v.unfit_for)) unfit
    WHERE c.state = 'sealed' AND unfit.subjects IS NOT NULL
      AND NOT EXISTS (SELECT FROM exclusion_confirmed x WHERE x.cooperative_id = c.cooperative_id AND x.container_id = c.id
        AND x.household_id = c.holder_household_id AND x.subjects @> unfit.subjects)
  UNION ALL
  -- What a swap brings may come from any round; what is claimed from the pool may not.
  SELECT cl.cooperative_id, 'claimer-takes-part', cl.id FROM claim cl
    JOIN container c ON c.cooperative_id = cl.cooperative_id AND c.id = cl.container_id
    JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
    WHERE cl.balance_after IS NOT NULL AND NOT EXISTS (SELECT FROM round_participant p
      WHERE p.cooperative_id = cl.cooperative_id AND p.round_id = b.round_id AND p.household_id = cl.household_id)
  UNION ALL
  SELECT r.cooperative_id, 'receipt-in-books', r.id FROM receipt r
    WHERE EXISTS (SELECT FROM household h WHERE h.cooperative_id = r.cooperative_id AND
      (SELECT coalesce(sum(p.amount), 0) FROM entry e
        JOIN posting p ON p.cooperative_id = e.cooperative_id AND p.entry_id = e.id
        JOIN account a ON a.cooperative_id = p.cooperative_id AND a.id = p.account_id
        WHERE e.cooperative_id = r.cooperative_id AND e.document_id = r.id AND e.book = 'money' AND a.household_id = h.id)
      <> CASE WHEN r.paid_by_household_id = h.id THEN r.total_minor ELSE 0 END
        - (SELECT coalesce(sum((l.amounts ->> h.id::text)::numeric), 0) FROM receipt_line l WHERE l.cooperative_id = r.cooperative_id AND l.receipt_id = r.id))
  UNION ALL
  SELECT s.cooperative_id, 'done-swap-moved', s.id FROM swap s JOIN swap_part p ON p.cooperative_id = s.cooperative_id AND p.swap_id = s.id
    WHERE s.state = 'done' AND NOT EXISTS (SELECT FROM claim cl
      WHERE cl.cooperative_id = s.cooperative_id AND cl.container_id = p.container_id AND cl.household_id = p.receiver_household_id)
  UNION ALL
  -- Each side's postings are what it gave less what it got.
  SELECT s.cooperative_id, 'done-swap-in-books', s.id FROM swap s CROSS JOIN LATERAL (VALUES (s.from_household_id), (s.to_household_id)) side (household_id)
    WHERE s.state = 'done' AND (NOT EXISTS (SELECT FROM entry e WHERE e.cooperative_id = s.cooperative_id AND e.document_id = s.id AND e.kind = 'swap') OR
      (SELECT coalesce(sum(p.amount), 0) FROM entry e
        JOIN posting p ON p.cooperative_id = e.cooperative_id AND p.entry_id = e.id
        JOIN account a ON a.cooperative_id = p.cooperative_id AND a.id = p.account_id
        WHERE e.cooperative_id = s.cooperative_id AND e.document_id = s.id AND e.kind = 'swap' AND a.household_id = side.household_id)
      <> (SELECT coalesce(sum(CASE WHEN w.giver_household_id = side.household_id THEN c.portions ELSE -c.portions END), 0) * 1000000::bigint
        FROM swap_part w JOIN container c ON c.cooperative_id = w.cooperative_id AND c.id = w.container_id
        WHERE w.cooperative_id = s.cooperative_id AND w.swap_id = s.id))
  UNION ALL
  SELECT s.cooperative_id, 'other-swap-moved-nothing', s.id FROM swap s
    WHERE s.state <> 'done' AND EXISTS (SELECT FROM entry e WHERE e.cooperative_id = s.cooperative_id AND e.document_id = s.id)
  UNION ALL
  SELECT s.cooperative_id, 'confirmed-share-out-in-books', s.id FROM share_out s
    WHERE s.state = 'confirmed' AND NOT EXISTS (SELECT FROM entry e WHERE e.cooperative_id = s.cooperative_id AND e.document_id = s.id AND e.kind = 'share-out')
  UNION ALL
  SELECT s.cooperative_id, 'confirmed-share-out-set-aside', s.id FROM share_out s
    WHERE s.state = 'confirmed' AND EXISTS (SELECT FROM jsonb_each(s.assigned) g CROSS JOIN jsonb_array_elements_text(g.value) box
      WHERE NOT EXISTS (SELECT FROM claim cl WHERE cl.cooperative_id = s.cooperative_id AND cl.container_id = box::uuid AND cl.household_id = g.key::uuid));
GRANT SELECT ON broken_invariant TO frostmoot_app;
