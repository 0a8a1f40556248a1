// Hand over: the audience first, then what of the record, then what stays behind and why, then the files.
#include <QComboBox>
#include <QDesktopServices>
#include <QFileDialog>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QSpacerItem>
#include <QUrl>
#include <QVBoxLayout>
#include <array>
#include <memory>
#include <optional>

#include "shared/base/text.h"
#include "viewer/draw/theme_handed_over.h"
#include "viewer/sheets/hand_over.h"
#include "viewer/window/answer_page.h"
#include "viewer/window/pages.h"
#include "viewer/window/row_list.h"
#include "viewer/window/style.h"

namespace leeward::window {
namespace {

constexpr std::array<const char*, 3> kAudiences = {"public", "partner", "authority"};
constexpr int kPublic = 0, kPartner = 1, kAuthority = 2;

/// Either what would leave, or why nothing can: a refusal is an answer of this page, not a failure of the window.
struct Foreseen {
  std::shared_ptr<const study::PreparedHandOver> prepared;
  std::optional<Problem> refusal;
};
struct Handed {
  sheets::HandOverDone done;
  std::optional<Problem> refusal;
};

QString number(std::size_t n) { return QString::fromStdString(formatCount(static_cast<std::int64_t>(n))); }

class HandOverPage : public AnswerPage {
 public:
  explicit HandOverPage(Workroom& room)
      : AnswerPage(room, tr("What can we show others?")),
        audience_(new QComboBox),
        case_(new QLineEdit),
        look_(makeButton(tr("See what would &leave, and what stays"), "foresee")),
        list_(new RowList(tr("What is withheld, and why"))),
        hand_(makeButton(tr("Choose a &folder and hand over"), "hand")),
        where_(makeWords(Text::Body, "where")),
        show_(makeButton(tr("Open the fol&der"), "show_folder")) {
    audience_->addItems({tr("the public: a board, a funder, a council"), tr("a partner: a shelter, a clinic"), tr("an authority: one case")});
    audience_->setObjectName("audience"), case_->setObjectName("case");
    case_->setPlaceholderText(tr("visit_id of a look there, or the premises' id"));
    addControl(tr("&Who gets it"), audience_);
    addControl(tr("Which &case"), case_);
    body().addWidget(look_, 0, Qt::AlignLeft);
    body().addWidget(list_, 1);
    body().addWidget(hand_, 0, Qt::AlignLeft);
    body().addWidget(where_);
    body().addWidget(show_, 0, Qt::AlignLeft);
    body().addItem(new QSpacerItem(0, 0, QSizePolicy::Minimum, QSizePolicy::Expanding));  // while the list isn't there
    connect(audience_, &QComboBox::currentIndexChanged, this, [this] { begin(); });
    connect(case_, &QLineEdit::textEdited, this, [this] { begin(); });
    connect(look_, &QPushButton::clicked, this, [this] { foresee(); });
    connect(hand_, &QPushButton::clicked, this, [this] { chooseFolder(); });
    connect(show_, &QPushButton::clicked, this, [this] { QDesktopServices::openUrl(QUrl::fromLocalFile(folder_)); });
  }

  void refresh() override { begin(); }
  MapMaker map() const override {
    if (!prepared_ || audience_->currentIndex() == kAuthority) return {};
    return [prepared = prepared_] { return draw::handedOver(*prepared->run.findings, prepared->draft.areas, prepared->draft.counts); };
  }
  /// The map's own sentence is about figures; this page says what leaves.
  void themed(const draw::MapTheme& theme) override {
    const QString own = finding_words_;
    AnswerPage::themed(theme);
    tell(own);
  }
  Table table() const override {
    if (!prepared_ || audience_->currentIndex() == kAuthority) return {};
    return prepared_->draft.figures;
  }

 private:
  study::HandOverRequest request() const {
    study::HandOverRequest request{.run = {.folder = room().folder()}, .audience = kAudiences[static_cast<std::size_t>(audience_->currentIndex())]};
    if (audience_->currentIndex() == kAuthority) request.case_id = case_->text().trimmed().toStdString();
    return request;
  }

  void tell(const QString& words) {
    finding_words_ = words;
    setFinding(words);
  }

  /// Nothing is foreseen yet for this audience.
  void begin() {
    prepared_.reset();
    folder_.clear();
    list_->setRows({}, {}, {});
    list_->hide(), hand_->hide(), where_->hide(), show_->hide();
    case_->setEnabled(audience_->currentIndex() == kAuthority);
    look_->setEnabled(audience_->currentIndex() != kAuthority || !case_->text().trimmed().isEmpty());
    switch (audience_->currentIndex()) {
      case kPublic:
        tell(tr("The public gets counts by area and period without the small ones, a map by area, and visited homes moved so far that each is lost among %1.").arg(room().study().audiences.at("public").k));
        break;
      case kPartner:
        tell(tr("A partner gets what the public gets, with homes lost among %1 and the year of each first visit.").arg(room().study().audiences.at("partner").k));
        break;
      default:
        tell(tr("An authority gets one case's own record, stamped: address, looks, checks, referrals. Notes, telephones and pictures stay; give what the case needs by hand."));
    }
    setHowSure(tr("Sheets, briefs and lists of the other pages are for the crew: they hold client data and don't leave the team. A figure once handed over stays as it is in every later hand-over."));
  }

  void foresee() {
    const auto asked = request();
    look_->setEnabled(false);
    room().jobs().start<Foreseen>(
        this, tr("Looking what would leave"),
        [asked](Progress& progress) -> Result<Foreseen> {
          auto prepared = study::prepareHandOver(asked, progress);
          if (prepared) return Foreseen{std::make_shared<const study::PreparedHandOver>(*std::move(prepared)), {}};
          if (prepared.problem().code == ProblemCode::Cancelled) return std::move(prepared).problem();
          return Foreseen{{}, std::move(prepared).problem()};
        },
        [this, asked](const Foreseen& seen) {
          if (asked.audience == request().audience && asked.case_id == request().case_id) showForeseen(seen);
        });
    connect(&room().jobs(), &Jobs::ended, look_, [this] { look_->setEnabled(true); }, Qt::SingleShotConnection);
  }

  void refuse(const Problem& problem) {
    tell(tr("Nothing can be handed over: %1. %2").arg(QString::fromStdString(problem.what), QString::fromStdString(problem.mend)));
    hand_->hide();
  }

  void showForeseen(const Foreseen& seen) {
    if (seen.refusal) return refuse(*seen.refusal);
    prepared_ = seen.prepared;
    const auto& draft = prepared_->draft;
    reasons_.clear();
    if (draft.audience == "authority") {
      tell(tr("The case holds %1, %2 and %3. These files hold client data of this one case: for that authority only.")
               .arg(counted(static_cast<std::int64_t>(draft.case_looks.rows()), tr("look"), tr("looks")), counted(static_cast<std::int64_t>(draft.case_checks.rows()), tr("check"), tr("checks")),
                    counted(static_cast<std::int64_t>(draft.case_referrals.rows()), tr("referral"), tr("referrals"))));
    } else {
      for (const auto& line : study::withheldLines(draft.counts)) reasons_.push_back({tr("count"), QString::fromStdString(line)});
      const std::size_t counts = reasons_.size(), all = draft.counts.area_id.size() * draft.counts.column.size() * study::kToldKinds.size();
      for (const auto& line : draft.places.withheld) reasons_.push_back({tr("home"), QString::fromStdString(line)});
      tell(tr("Up to %1: %2 of %3 counts leave and %4 stay; %5 leave as moved points, each with at least %6 other homes nearer, %7 stay, and %8 wait until the year of their first visit is over.")
               .arg(QString::fromStdString(toWords(draft.as_of)), number(all - counts), number(all), number(counts), counted(static_cast<std::int64_t>(draft.places.points.rows()), tr("home"), tr("homes")))
               .arg(draft.places.least_nearer)
               .arg(number(draft.places.withheld.size()), number(draft.places.waiting)));
    }
    list_->setRows(std::vector<qint64>(reasons_.size(), -1), [this](std::size_t row) { return rowOf(row); }, tr("count"));
    list_->setVisible(!reasons_.empty());
    hand_->show();
    setHowSure(tr("The list is for you alone: it says what is withheld, with its value. Before the folder appears, every file in it is held against the record for addresses, names, telephones and positions; a hit stops it."));
    emit mapChanged();
  }

  Row rowOf(std::size_t row) const {
    const auto& [what, words] = reasons_[row];
    const auto cut = words.indexOf(QStringLiteral(": "));
    return {what, cut < 0 ? words : words.left(cut), cut < 0 ? QString() : words.mid(cut + 2), false};
  }

  void chooseFolder() {
    QFileDialog dialog(this, tr("A new folder for what is handed over"));
    dialog.setObjectName("folder");
    dialog.setAcceptMode(QFileDialog::AcceptSave);
    dialog.setOption(QFileDialog::DontConfirmOverwrite);
    dialog.setLabelText(QFileDialog::Accept, tr("Hand over"));
    dialog.selectFile(QStringLiteral("hand-over-%1-%2").arg(QString::fromLatin1(kAudiences[static_cast<std::size_t>(audience_->currentIndex())]), QString::fromStdString(toIso(prepared_->draft.as_of))));
    if (dialog.exec() == QDialog::Accepted && !dialog.selectedFiles().isEmpty()) handOver(dialog.selectedFiles().front());
  }

  void handOver(const QString& folder) {
    const auto asked = request();
    hand_->setEnabled(false);
    room().jobs().start<Handed>(
        this, tr("Handing over"),
        [asked, folder](Progress& progress) -> Result<Handed> {
          auto done = sheets::handOver(asked, folder.toStdString(), progress);
          if (done) return Handed{*std::move(done), {}};
          if (done.problem().code == ProblemCode::Cancelled) return std::move(done).problem();
          return Handed{{}, std::move(done).problem()};
        },
        [this, folder](const Handed& handed) { handed.refusal ? refuse(*handed.refusal) : showHanded(handed.done, folder); });
    connect(&room().jobs(), &Jobs::ended, hand_, [this] { hand_->setEnabled(true); }, Qt::SingleShotConnection);
  }

  void showHanded(const sheets::HandOverDone& done, const QString& folder) {
    folder_ = folder;
    QStringList names;
    for (const auto& file : done.files) names += QString::fromStdString(std::filesystem::path(file).filename().string());
    QString words = tr("%1 are in %2. Read read-me.txt and look at the map before you send anything.").arg(names.join(QStringLiteral(", ")), folder);
    for (const auto& warning : done.warnings) words += QLatin1Char('\n') + QString::fromStdString(warning);
    if (!done.report.empty()) words += QLatin1Char('\n') + tr("What was withheld and why, for you alone: %1").arg(QString::fromStdString(done.report));
    where_->setText(words);
    where_->show(), show_->show(), hand_->hide();
  }

  QComboBox* audience_;
  QLineEdit* case_;
  QPushButton* look_;
  RowList* list_;
  QPushButton* hand_;
  QLabel* where_;
  QPushButton* show_;
  std::shared_ptr<const study::PreparedHandOver> prepared_;
  std::vector<std::pair<QString, QString>> reasons_;  ///< count or home, and why
  QString finding_words_, folder_;
};

}  // namespace

AnswerPage* makeHandOverPage(Workroom& room) { return new HandOverPage(room); }

}  // namespace leeward::window
