#include "viewer/sheets/study_outputs.h"

#include <map>

#include "shared/base/files.h"
#include "shared/base/hash.h"
#include "shared/base/seal.h"
#include "shared/base/text.h"
#include "shared/ledger/ledger.h"
#include "shared/table/csv.h"
#include "viewer/draw/type.h"
#include "viewer/sheets/brief.h"
#include "viewer/sheets/door_sheet.h"
#include "viewer/sheets/sheet.h"
#include "viewer/sheets/workbook.h"
#include "viewer/study/made_files.h"
#include "viewer/study/receipts.h"
#include "viewer/study/run/rows.h"

namespace leeward::sheets {
namespace fs = std::filesystem;
namespace {

/// One file to write: what makes it, and the key of all that it shows.
struct Job {
  fs::path file;
  std::string what;
  std::string key;
  std::function<Result<void>(Progress&)> write;
};

/// What an earlier run wrote: file name -> key and content hash. Losing the list only means writing again.
class Written {
 public:
  /// "": what lies elsewhere is always written.
  explicit Written(fs::path list) : list_(std::move(list)) {
    if (list_.empty()) return;
    const auto text = readFile(list_);
    if (!text) return;
    for (const auto line : split(*text, '\n')) {
      const auto fields = split(line, '\t');
      if (fields.size() == 3) entries_[std::string(fields[0])] = {std::string(fields[1]), std::string(fields[2])};
    }
  }
  bool isUpToDate(const Job& job) const {
    const auto entry = entries_.find(job.file.filename().string());
    if (entry == entries_.end() || entry->second.first != job.key) return false;
    const auto hash = sha256OfFile(job.file);
    return hash.ok() && *hash == entry->second.second;
  }
  void add(const Job& job, const std::string& hash) { entries_[job.file.filename().string()] = {job.key, hash}; }
  Result<void> save() const {
    if (list_.empty()) return {};
    std::string text;
    for (const auto& [name, entry] : entries_) text += name + "\t" + entry.first + "\t" + entry.second + "\n";
    return writeFile(list_, text, true);
  }

 private:
  fs::path list_;
  std::map<std::string, std::pair<std::string, std::string>> entries_;
};

Problem unknownKind(const std::string& what, const std::string& kind, const std::vector<std::string>& known) {
  return {ProblemCode::InvalidArgument, fmt::format("there is no {} \"{}\"", what, kind), "", "Kinds are " + join(known, ", ")};
}

Result<void> checkKind(const std::string& kind) {
  std::vector<std::string> known;
  for (const auto& one : sheetKinds()) known.emplace_back(one.name);
  if (std::ranges::find(known, kind) == known.end()) return unknownKind("sheet", kind, known);
  return {};
}

Result<void> checkBrief(const std::string& kind) {
  std::vector<std::string> known;
  for (const auto& one : briefKinds()) known.emplace_back(one.name);
  if (std::ranges::find(known, kind) == known.end()) return unknownKind("brief", kind, known);
  return {};
}

/// A wrong name in the study file is an input that can't be used, not a wrong call.
Problem inStudyFile(Problem problem) {
  problem.code = ProblemCode::BadData;
  return std::move(problem).at("[outputs] of study.toml");
}

Result<std::vector<Job>> listJobs(const study::RunOutcome& outcome, const fs::path& out) {
  const auto& findings = *outcome.findings;
  const auto& wanted = outcome.study.outputs;
  std::vector<Job> jobs;
  const auto add = [&](const std::string& name, const std::string& what, std::function<Result<void>(Progress&)> write) {
    jobs.push_back({out / name, what, study::stepKey(what, {outcome.key, name}), std::move(write)});
  };
  for (const auto& kind : wanted.sheets) {
    if (kind == "need" && outcome.study.indicators.empty()) continue;  // findings say that no indicators are named
    if (auto known = checkKind(kind); !known) return inStudyFile(std::move(known).problem());
    const std::string name = kind + "." + wanted.format;
    add(name, "Sheet: " + kind, [&findings, kind, file = out / name](Progress& step) -> Result<void> {
      LEEWARD_TRY(writeSheet(findings, {.kind = kind, .file = file}, step));
      return {};
    });
  }
  for (const auto& kind : wanted.briefs) {
    if (auto known = checkBrief(kind); !known) return inStudyFile(std::move(known).problem());
    add(kind + ".pdf", "Brief: " + kind, [&findings, kind, file = out / (kind + ".pdf")](Progress& step) -> Result<void> {
      LEEWARD_TRY(writeBrief(findings, {.kind = kind, .file = file}, step));
      return {};
    });
  }
  const std::map<std::string, const Table*> tables = {{"next.csv", &findings.next}, {"changed.csv", &findings.changed}, {"due.csv", &findings.due}, {"patterns.csv", &findings.patterns.blocks}};
  for (const auto& name : wanted.tables) {
    if (name == "workbook.xlsx") {
      add(name, "Workbook", [&findings, file = out / name](Progress& step) { return writeWorkbook(findings, file, step); });
    } else if (const auto table = tables.find(name); table != tables.end()) {
      add(name, "Table: " + name, [table = table->second, file = out / name](Progress&) { return writeFile(file, toCsv(*table), true); });
    } else {
      return inStudyFile(unknownKind("table", name, {"next.csv", "changed.csv", "due.csv", "patterns.csv", "workbook.xlsx"}));
    }
  }
  return jobs;
}

/// A file that was written: its name, its hash, and what it was made from.
struct Kept {
  fs::path file;
  std::string sha256;
  Receipt receipt;
};

/// Receipts stay with the team: one row in the ledger an output, found by the output's SHA-256.
Result<void> keepReceipts(const fs::path& ledger_file, const std::vector<Kept>& written, Progress& progress) {
  if (written.empty()) return {};
  LEEWARD_ASSIGN(ledger, Ledger::open(ledger_file));
  std::vector<std::string> id, sha256, name, audience, made_at, receipt;
  for (const auto& kept : written) {
    id.push_back(newUuid()), sha256.push_back(kept.sha256), name.push_back(kept.file.filename().string()), audience.emplace_back("crew");
    made_at.push_back(toIso(today()));
    receipt.push_back(toJson(kept.receipt));
  }
  LEEWARD_TRY(ledger.put({{Entity::Outputs, study::TableMaker{}.texts("id", id).texts("sha256", sha256).texts("file_name", name).texts("audience", audience)
                                                .texts("made_at", made_at).texts("receipt", receipt).done()}},
                         progress));
  return ledger.close();
}

Kept keptOf(const study::RunOutcome& outcome, const Job& job, const std::string& sha256) {
  Kept kept{job.file, sha256, study::receiptOf(outcome.study, outcome.findings->as_of, outcome.inputs)};
  kept.receipt.what = job.what;
  kept.receipt.findings = outcome.key;
  return kept;
}

Result<void> writeWithReceipt(const study::RunOutcome& outcome, const Job& job, Progress& progress) {
  auto writing = progress.part(0, 0.9);
  LEEWARD_TRY(study::mayHoldPrivate(job.file));
  LEEWARD_TRY(job.write(writing));
  LEEWARD_ASSIGN(hash, sha256OfFile(job.file));
  auto keeping = progress.part(0.9, 1);
  return keepReceipts(outcome.study.ledger(), {keptOf(outcome, job, hash)}, keeping);
}

}  // namespace

Result<StudyOutputs> writeStudyOutputs(const study::RunOutcome& outcome, Progress& progress, const fs::path& into) {
  if (into.empty() && isSealed(outcome.study.ledger())) return StudyOutputs{};
  if (!into.empty()) LEEWARD_TRY(study::mayHoldPrivate(into / "sheet.pdf"));
  const fs::path out = into.empty() ? outcome.study.out() : into;
  LEEWARD_ASSIGN(jobs, listJobs(outcome, out));
  std::error_code error;
  const bool made = fs::create_directories(out, error);
  if (error) return Problem{ProblemCode::Io, "the folder for outputs can't be made (" + error.message() + ")", out.string(), "Check its permissions"};
  if (made || into.empty()) fs::permissions(out, fs::perms::owner_all, error);
  removeLeftovers(out);
  Written list(into.empty() ? outcome.study.cache() / "outputs.txt" : fs::path());
  StudyOutputs outputs;
  std::vector<Kept> written;
  std::unique_ptr<draw::PaintingApplication> application;  // Qt starts only if there is something to paint
  for (std::size_t i = 0; i < jobs.size(); ++i) {
    const Job& job = jobs[i];
    const bool kept = list.isUpToDate(job);
    outputs.files.push_back({job.file.string(), job.what, kept});
    if (kept) continue;
    if (!application) application = std::make_unique<draw::PaintingApplication>();
    auto step = progress.part(static_cast<double>(i) / static_cast<double>(jobs.size()), static_cast<double>(i + 1) / static_cast<double>(jobs.size()));
    step.report(0, "Writing " + job.file.filename().string());
    LEEWARD_TRY(progress.checkStop());
    LEEWARD_TRY(job.write(step));
    LEEWARD_ASSIGN(hash, sha256OfFile(job.file));
    list.add(job, hash);
    written.push_back(keptOf(outcome, job, hash));
  }
  // Receipts first: should they fail, the files are written again and get theirs.
  LEEWARD_TRY(keepReceipts(outcome.study.ledger(), written, progress));
  LEEWARD_TRY(list.save());
  return outputs;
}

Result<void> writeOneSheet(const study::RunOutcome& outcome, const std::string& kind, const std::string& file, Progress& progress) {
  LEEWARD_TRY(checkKind(kind));
  return writeWithReceipt(outcome,
                          {file, "Sheet: " + kind, "",
                           [&](Progress& step) -> Result<void> {
                             LEEWARD_TRY(writeSheet(*outcome.findings, {.kind = kind, .file = file}, step));
                             return {};
                           }},
                          progress);
}

Result<void> writeOneBrief(const study::RunOutcome& outcome, const std::string& kind, const std::string& file, Progress& progress) {
  LEEWARD_TRY(checkBrief(kind));
  return writeWithReceipt(outcome,
                          {file, "Brief: " + kind, "",
                           [&](Progress& step) -> Result<void> {
                             LEEWARD_TRY(writeBrief(*outcome.findings, {.kind = kind, .file = file}, step));
                             return {};
                           }},
                          progress);
}

Result<std::vector<std::string>> writeDoorSheets(const study::DoorsOutcome& outcome, double hours, int crews, const std::string& file, Progress& progress) {
  const draw::PaintingApplication application;
  const Table& doors = outcome.doors.table;
  const Column& crew_of = study::columnOf(doors, "crew");
  std::vector<std::string> written;
  std::vector<Kept> kept;
  for (int crew = 1; crew <= crews; ++crew) {
    std::vector<std::size_t> rows;
    for (std::size_t row = 0; row < doors.rows(); ++row) {
      if (crew_of.asInteger(row) == crew) rows.push_back(row);
    }
    fs::path target = file;
    if (crews > 1) target.replace_filename(target.stem().string() + "-" + std::to_string(crew) + target.extension().string());
    LEEWARD_TRY(study::mayHoldPrivate(target));
    auto step = progress.part(static_cast<double>(crew - 1) / crews, static_cast<double>(crew) / crews);
    LEEWARD_TRY(writeDoorSheet(doors.take(rows), {.file = target, .study = outcome.study.name, .crew = fmt::format("Crew {}", crew), .as_of = outcome.as_of, .hours = hours}, step));
    LEEWARD_ASSIGN(hash, sha256OfFile(target));
    kept.push_back({target, hash, study::receiptOf(outcome.study, outcome.as_of, outcome.inputs)});
    kept.back().receipt.what = fmt::format("Door sheet: crew {} of {}, {} hours", crew, crews, formatNumber(hours));
    written.push_back(target.string());
  }
  LEEWARD_TRY(keepReceipts(outcome.study.ledger(), kept, progress));
  return written;
}

}  // namespace leeward::sheets
