// Bring in: the team's files and public layers, what came in before, and the addresses that are not clear.
#include <QKeyEvent>
#include <QLabel>
#include <QPushButton>
#include <QVBoxLayout>

#include "shared/base/files.h"
#include "shared/base/text.h"
#include "viewer/study/take_back.h"
#include "viewer/window/answer_page.h"
#include "viewer/window/file_tray.h"
#include "viewer/window/pages.h"
#include "viewer/window/row_list.h"
#include "viewer/window/style.h"

namespace leeward::window {
namespace {

class BringInPage : public AnswerPage {
 public:
  explicit BringInPage(Workroom& room)
      : AnswerPage(room, tr("What came in, and is it clear?")),
        settle_(makeButton({}, "settle")),
        tray_(new FileTray(room)),
        take_(makeButton(tr("Take &in what is not left aside"), "take")),
        list_(new RowList(tr("Files that came in, latest first"))),
        back_(makeButton(tr("Take the chosen file &back"), "take_back")) {
    auto* before = makeWords(Text::Body, "before");
    before->setText(tr("Files of the crews that came in, latest first"));
    auto* type = makeButton(tr("&Type in visits …"), "type_in");
    body().addWidget(type, 0, Qt::AlignLeft);
    body().addWidget(settle_, 0, Qt::AlignLeft);
    connect(type, &QPushButton::clicked, &room, &Workroom::typingAsked);
    body().addWidget(tray_);
    body().addWidget(take_, 0, Qt::AlignLeft);
    body().addWidget(before);
    body().addWidget(list_, 1);
    body().addWidget(back_, 0, Qt::AlignLeft);
    take_->hide();
    back_->setEnabled(false);
    connect(settle_, &QPushButton::clicked, &room, &Workroom::addressesAsked);
    connect(tray_, &FileTray::changed, this, [this] { take_->setVisible(tray_->hasOpen()); });
    connect(take_, &QPushButton::clicked, this, [this] { take(); });
    connect(list_, &RowList::chosen, this, [this] { back_->setEnabled(true); });
    connect(back_, &QPushButton::clicked, this, [this] { takeBack(); });
  }

  void refresh() override {
    const auto& totals = room().findings()->totals;
    const QString unclear = totals.undecided == 0 ? tr("Every address is clear") : tr("%1 not clear").arg(counted(totals.undecided, tr("address is"), tr("addresses are")));
    setFinding(tr("The record holds %1 and %2%3. %4, and %5 of the files could not be used.")
                   .arg(counted(totals.looks, tr("look"), tr("looks")), counted(totals.sightings, tr("sighting"), tr("sightings")),
                        room().findings()->record_ends ? tr("; it ends on %1").arg(QString::fromStdString(toWords(*room().findings()->record_ends))) : QString(), unclear,
                        counted(totals.refused_rows, tr("row"), tr("rows"))));
    settle_->setVisible(totals.undecided > 0);
    settle_->setText(totals.undecided == 1 ? tr("&Settle one address that is not clear") : tr("&Settle %1 addresses that are not clear").arg(QString::fromStdString(formatCount(totals.undecided))));
    setHowSure(tr("Rows that could not be used are listed with line, column and reason in the study's folder, under out; corrected there, they can come in again."));
    listImports();
  }

  Table table() const override {
    Table table;
    std::vector<std::string> file, kind, day;
    std::vector<std::int64_t> rows, refused;
    for (const auto& one : imports_) {
      file.push_back(one.file_name), kind.push_back(one.kind), day.push_back(one.imported_at);
      rows.push_back(static_cast<std::int64_t>(one.rows)), refused.push_back(static_cast<std::int64_t>(one.refused));
    }
    table.add(Column::text("file", file));
    table.add(Column::text("kind", kind));
    table.add(Column::text("came_in", day));
    table.add(Column::integers("rows", rows));
    table.add(Column::integers("refused", refused));
    return table;
  }

 private:
  void listImports() {
    room().jobs().look<std::vector<ImportStanding>>(
        this, QStringLiteral("imports"), [folder = room().folder()](Progress&) { return study::listImports(folder); },
        [this](std::vector<ImportStanding> imports) {
          imports_ = std::move(imports);
          std::ranges::reverse(imports_);
          list_->setRows(std::vector<qint64>(imports_.size(), -1), [this](std::size_t row) { return rowOf(imports_[row]); }, QStringLiteral("888,888"));
          back_->setEnabled(false);
        });
  }

  static Row rowOf(const ImportStanding& one) {
    QString detail = tr("%1, came in on %2").arg(QString::fromStdString(one.kind), shortDay(one.imported_at));
    if (one.refused > 0) detail += tr("; %1 rows refused").arg(one.refused);
    if (one.decisions > 0) detail += tr("\n%1 addresses of it were settled by hand").arg(one.decisions);
    return {QString::fromStdString(formatCount(static_cast<std::int64_t>(one.rows))), QString::fromStdString(one.file_name), detail, false};
  }

  void take() {
    tray_->takeInto(room().folder(), [this](const std::vector<TakenFile>& taken) {
      if (taken.empty()) return;
      for (const TakenFile& file : taken) keepUndo(file);
      room().bringUpToDate();
    });
  }

  /// Ctrl+Z takes the file back: its rows out of the ledger, or the layer's table out of study.toml.
  void keepUndo(const TakenFile& file) {
    Workroom* workroom = &room();
    const auto folder = workroom->folder();
    if (file.import.empty() && file.settings_before.empty()) return;
    workroom->change(tr("taking in %1").arg(QString::fromStdString(file.name)), {}, [workroom, folder, file] {
      workroom->jobs().start<bool>(
          workroom, tr("Taking back %1").arg(QString::fromStdString(file.name)),
          [folder, file](Progress& progress) -> Result<bool> {
            if (file.import.empty()) LEEWARD_TRY(writeFile(folder / "study.toml", file.settings_before));
            else LEEWARD_TRY(study::takeBack({.folder = folder, .import = file.import, .decided_too = true}, progress));
            return true;
          },
          [workroom](bool) { workroom->bringUpToDate(); });
    });
  }

  void takeBack() {
    const int row = list_->currentIndex().row();
    if (row < 0 || row >= static_cast<int>(imports_.size())) return;
    const ImportStanding chosen = imports_[static_cast<std::size_t>(row)];
    room().jobs().start<ImportStanding>(
        this, tr("Taking back %1").arg(QString::fromStdString(chosen.file_name)),
        [folder = room().folder(), chosen](Progress& progress) { return study::takeBack({.folder = folder, .import = chosen.import_id}, progress); },
        [this](const ImportStanding& done) {
          room().say(tr("%1 is out of the record; taking the file in again brings it back.").arg(QString::fromStdString(done.file_name)));
          room().bringUpToDate();
        });
  }

  std::vector<ImportStanding> imports_;
  QPushButton* settle_;
  FileTray* tray_;
  QPushButton* take_;
  RowList* list_;
  QPushButton* back_;
};

}  // namespace

AnswerPage* makeBringInPage(Workroom& room) { return new BringInPage(room); }

}  // namespace leeward::window
