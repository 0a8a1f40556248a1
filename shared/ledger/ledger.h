#pragma once
/// The ledger: all that the team recorded, in one SpatiaLite file. The only thing that can't be recomputed.
///
/// The interface is narrow on purpose (whole tables out, whole batches in) so that a server can stand behind
/// it later. Tables come and go as shared/table Tables whose columns are named as in migrations/*.sql
/// (LEDGER.md explains them); the `position` of a row is two Real columns lon, lat (EPSG:4326). NULL is a
/// missing value. Nobody else writes SQL.
///
/// Files: mode 0600; application_id 0x4C574401; WAL only while open, checkpointed and removed on close.
/// One Ledger is used by one thread at a time; a second program waits up to five seconds, then gets Io.
#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "shared/base/progress.h"
#include "shared/ledger/forget.h"
#include "shared/ledger/hand_overs.h"
#include "shared/table/row_report.h"
#include "shared/table/table.h"

namespace leeward {

/// The ledger's tables, in an order in which parents come before children.
enum class Entity {
  Imports, RefusedRows, Premises, Placements, Looks, Permissions, Animals, Visits, Checks, Services, Treatments,
  Outcomes, Referrals, Sightings, Photos, Stock, Decisions, Outputs
};
const char* tableName(Entity entity);

/// One file's worth of rows, taken in by a single transaction.
struct ImportBatch {
  std::string kind;                           ///< visits, sightings, photos or stock
  std::string file_name;                      ///< without its folder
  std::string sha256;                         ///< of the file
  std::string columns;                        ///< what was taken for what: "field=Column" lines
  RowReport report;                           ///< refused rows are kept in the ledger
  /// Rows to add. Every table has an "id" column (UUIDs made by the importer, so that children can name their
  /// parents); Looks, Sightings, Photos and Stock have source_key and content_hash; import_id is filled in by take().
  std::map<Entity, Table> rows;
};

struct TakenIn {
  std::string import_id;
  bool same_file_before = false;  ///< a file with this SHA-256 was taken in already: nothing was written
  std::uint64_t added = 0;        ///< looks, sightings, photos or stock rows that are new
  std::uint64_t changed = 0;      ///< known source_key, other content: replaced together with its children, logged
  std::uint64_t known = 0;        ///< known source_key, same content: left alone (and so are its children)
  std::uint64_t forgotten = 0;    ///< rows of who was forgotten (forget.h): left out
  /// Rows without an id of their own (shared/ledger/corrections.h): how many of `changed` were recognised as a corrected row of the same
  /// file; rows of its earlier state that are no longer in it (they stay); new rows that are like a known one. In words, a row each.
  std::uint64_t recognised = 0;
  std::vector<std::string> gone = {}, alike = {};
};

/// What an import holds now, and what would go with it.
struct ImportStanding {
  std::string import_id, kind, file_name, imported_at;
  std::uint64_t rows = 0;       ///< looks, sightings, photos or stock rows that are its own now (a later correction makes a row the later file's)
  std::uint64_t refused = 0;
  std::uint64_t decisions = 0;  ///< hand decisions, not undone, on addresses that only its rows have
  std::vector<std::string> corrected;    ///< files of earlier imports of which it replaced rows
  std::vector<std::string> repeated_in;  ///< files of later imports of its kind that repeated rows of earlier ones
};

class Ledger {
 public:
  /// Makes a new file. AlreadyExists if there is one; Io. The SpatiaLite extension missing: Unsupported, with the package's name.
  static Result<Ledger> create(const std::filesystem::path& file);
  /// Opens and migrates. NotFound; BadData if it isn't a ledger or is damaged; Unsupported if a newer version wrote it.
  /// Damage is looked for in the header and the length, and in the whole file (quick_check) if it is under 16 MB or wasn't
  /// closed; elsewhere damage is BadData when it is read. check() always reads all.
  static Result<Ledger> open(const std::filesystem::path& file);
  Ledger(Ledger&&) noexcept;
  Ledger& operator=(Ledger&&) noexcept;
  ~Ledger();  ///< checkpoints and removes the WAL
  Result<void> close();

  /// Whole table, ordered by id (which is the order of making). Columns as in the schema, position as lon, lat.
  Result<Table> read(Entity entity) const;
  /// Several whole tables as of one moment, in the order asked for: read side by side, each over a connection of its own. Should another program
  /// write meanwhile, they are read anew one after the other.
  Result<std::vector<Table>> read(const std::vector<Entity>& entities, Progress& progress) const;
  /// The number of rows; cheap.
  Result<std::uint64_t> count(Entity entity) const;

  /// Refused rows that still wait for a correction: not those whose own id came in with a later import, nor those of a file that was
  /// taken in again since (same kind and name, and the same bytes or some of its rows known before), whose own refusals count instead.
  Result<std::uint64_t> openRefusals() const;

  /// All of the batch or nothing. Cancelled leaves nothing. BadData if a known source_key comes with another date and
  /// another address at once: that is no correction but an id used twice.
  Result<TakenIn> take(const ImportBatch& batch, Progress& progress);
  /// The same for a file that comes in pieces: `next` fills a piece's rows and refused rows until it gives false, and then head.report says
  /// how many rows were read and kept, and the remarks. It is called on a thread of its own, one piece ahead of the writing. Its Problems
  /// end the taking; nothing stays. Corrections of rows without ids are not looked for (TakenIn::recognised, gone, alike stay empty).
  /// BadData if rows of one source_key stand in different pieces and say different things.
  using NextPiece = std::function<Result<bool>(ImportBatch& piece)>;
  Result<TakenIn> take(const ImportBatch& head, const NextPiece& next, Progress& progress);
  /// Every import, oldest first.
  Result<std::vector<ImportStanding>> imports() const;
  /// Takes an import back: its looks, sightings, photos or stock rows with all that hangs on them, its refused rows and the import itself leave, then
  /// placements, premises and animals that nothing refers to any more. One transaction, every row in the change log as it was.
  /// Hand decisions stay (they are about addresses as typed) and hold again when the file is taken in again.
  /// NotFound for an unknown id; AlreadyExists if decisions hang on it and `decided_too` is not set; Cancelled: nothing changed.
  Result<ImportStanding> takeBack(const std::string& import_id, bool decided_too, Progress& progress);
  /// Inserts rows whose id is new and updates the given columns of known ones, in one transaction, change-logged
  /// (rows that stay the same are not logged). For Premises, Placements, Animals, Decisions, and for the links
  /// placement_id, premises_id, animal_id of Looks, Visits and Sightings.
  Result<void> put(const std::vector<std::pair<Entity, Table>>& rows, Progress& progress);
  /// put() of all animals as gathered anew and of the links to them; then animals that are not in the table go, and what
  /// still linked to one of those links to none. One transaction, change-logged.
  Result<void> putAllAnimals(const Table& animals, const std::vector<std::pair<Entity, Table>>& links, Progress& progress);

  /// What left the team. Every hand-over, oldest first; by which areas and periods an audience has tables ("areas, quarter"); their counts; the
  /// points that it was given. noteHandOver: one transaction; a count or point that stands there already is Internal, since it never changes.
  Result<std::vector<Export>> exports() const;
  Result<std::vector<std::string>> handedTables(const std::string& audience) const;
  Result<std::vector<HandedCell>> handedCells(const std::string& audience, const std::string& tables) const;
  Result<std::vector<MaskedPlace>> maskedPlaces(const std::string& audience) const;
  Result<void> noteHandOver(const HandOverNote& note);

  /// Takes premises or a household out of everything that the ledger holds, change log and free pages too, and leaves keyed hashes by which take()
  /// knows rows of up to that day again and leaves them out. AlreadyExists while a referral has no answer (unless asked for all the
  /// same). A dry run says what would go and changes nothing.
  Result<Forgotten> forget(const ForgetRequest& request, Progress& progress);
  /// Premises in the ledger that were forgotten once (by their id in the public layer or, without one, their address): id, day of forgetting.
  Result<std::vector<std::pair<std::string, std::string>>> forgottenPremises() const;

  /// Setting by name; nothing if unset. "study_id", "masking_secret" (32 random bytes as hex) are made by create().
  Result<std::optional<std::string>> setting(const std::string& name) const;
  Result<void> setSetting(const std::string& name, const std::string& value);

  /// A value that changes whenever anything but settings and outputs changes: SHA-256 over the tables' contents'
  /// counters (kept by the change log), for deciding what is stale.
  Result<std::string> stateKey() const;

  /// A consistent copy by SQLite's backup API, mode 0600, written beside and renamed in.
  Result<void> backup(const std::filesystem::path& file, Progress& progress) const;
  /// Full integrity and foreign-key check: lines that describe what is wrong, empty if sound.
  Result<std::vector<std::string>> check() const;

 private:
  struct Store;
  explicit Ledger(std::unique_ptr<Store> store);
  std::unique_ptr<Store> store_;
};

}  // namespace leeward
